// Bundles main.ts with the client's sources into one file for Node. Run in pwa/: node …/bundle.mjs FOLDER
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';

const here = dirname(fileURLToPath(import.meta.url));
const pwa = join(here, '../../../pwa');
const { build } = await import(pathToFileURL(createRequire(join(pwa, 'package.json')).resolve('vite')).href);

await build({
  configFile: false,
  root: pwa,
  logLevel: 'warn',
  build: {
    ssr: join(here, 'main.ts'),
    outDir: process.argv[2],
    emptyOutDir: false,
    target: 'node20',
    minify: false,
    rolldownOptions: { output: { entryFileNames: 'main.mjs' } },
  },
  ssr: { noExternal: true },
});
