// The client's calculations over JSON Lines: [name, input] in, {"out": …} or {"error": pointer} out.
// Run by test_mirrors_agree.py, so that server and phone can be asked the same question.
import { fileURLToPath } from 'node:url';

const client = new URL('../../../pwa/', import.meta.url);
const { createServer } = await import(new URL('node_modules/vite/dist/node/index.js', client).href);
const vite = await createServer({
  root: fileURLToPath(client),
  configFile: false,
  logLevel: 'error',
  appType: 'custom',
  server: { middlewareMode: true, hmr: false, ws: false, watch: null },
  optimizeDeps: { noDiscovery: true },
});
const agronomy = await vite.ssrLoadModule('/src/agronomy/index.ts');
const camelCase = (name) => name.replace(/-(.)/g, (_, letter) => letter.toUpperCase());
let asked = '';
process.stdin.setEncoding('utf8');
for await (const part of process.stdin) asked += part;
const answers = asked
  .trim()
  .split('\n')
  .map((line) => {
    const [name, input] = JSON.parse(line);
    try {
      return { out: agronomy[camelCase(name)](input) };
    } catch (fault) {
      if (!(fault instanceof agronomy.InputFault)) throw fault;
      return { error: fault.pointer };
    }
  });
await vite.close();
process.stdout.write(`${answers.map((answer) => JSON.stringify(answer)).join('\n')}\n`);
