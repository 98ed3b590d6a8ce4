// An original that another phone took: fetched when it is asked for, and proved by its name.

import { expect, test } from 'vitest';
import { sha256Of } from '../storage/photos';
import { fetchOriginal } from './photos_down';
import { Rig } from './rig';

const BYTES = new TextEncoder().encode('a picture').buffer as ArrayBuffer;

async function asking() {
  const rig = new Rig();
  const phone = await rig.phone('B');
  const paired = await phone.engine.paired();
  if (!paired) throw new Error('not paired');
  const sha = await sha256Of(BYTES);
  return { rig, sha, ask: () => fetchOriginal(phone.engine.wires, paired, sha) };
}

test('it comes from the server', async () => {
  const { rig, sha, ask } = await asking();
  rig.server.blobs.set(sha, BYTES);
  expect(await ask()).toMatchObject({ bytes: BYTES });
});

test('one that is not there yet is told apart from a server that is not reached', async () => {
  const { rig, ask } = await asking();
  expect(await ask()).toBe('not_there');
  rig.server.instead = [() => Promise.reject(new TypeError('no network'))];
  expect(await ask()).toBe('away');
  rig.server.serverId = 'another';
  expect(await ask()).toBe('away');
});

test('other bytes under its name are not shown, nor is a portal’s page', async () => {
  const { rig, sha, ask } = await asking();
  rig.server.blobs.set(sha, new ArrayBuffer(4));
  expect(await ask()).toBe('not_there');
  const page = () => new Response('<html>', { headers: { 'Content-Type': 'text/html' } });
  rig.server.instead = [undefined, page];
  expect(await ask()).toBe('away');
});
