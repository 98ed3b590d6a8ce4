// Bundles main.ts or hands.ts with the client's sources for Node. Run in pwa/: node …/bundle.mjs FOLDER [main|hands]
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';

const here = dirname(fileURLToPath(import.meta.url));
const pwa = join(here, '../../../pwa');
const { build } = await import(pathToFileURL(createRequire(join(pwa, 'package.json')).resolve('vite')).href);

const name = process.argv[3] ?? 'main';
await build({
  configFile: false,
  root: pwa,
  logLevel: 'warn',
  build: {
    ssr: join(here, `${name}.ts`),
    outDir: process.argv[2],
    emptyOutDir: false,
    target: 'node20',
    minify: false,
    rolldownOptions: { output: { entryFileNames: `${name}.mjs` } },
  },
  ssr: { noExternal: true },
});
