// Bundles client_entry.ts with the client's sources for a page. Run in pwa/: node …/bundle.mjs FOLDER
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';

const here = dirname(fileURLToPath(import.meta.url));
const pwa = join(here, '../../pwa');
const { build } = await import(pathToFileURL(createRequire(join(pwa, 'package.json')).resolve('vite')).href);

await build({
  configFile: false,
  root: pwa,
  logLevel: 'warn',
  build: {
    outDir: process.argv[2],
    emptyOutDir: false,
    target: 'es2022',
    copyPublicDir: false,
    rolldownOptions: { output: { codeSplitting: false } }, // one file: what is fetched later would not be there
    lib: { entry: join(here, 'client_entry.ts'), formats: ['es'], fileName: () => 'bench.js' },
  },
});
