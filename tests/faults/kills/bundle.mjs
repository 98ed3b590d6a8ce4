// Bundles storm.ts with the client's sources into one file for a browser. Run in pwa/: node …/bundle.mjs FOLDER
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';

const here = dirname(fileURLToPath(import.meta.url));
const pwa = join(here, '../../../pwa');
const { build } = await import(pathToFileURL(createRequire(join(pwa, 'package.json')).resolve('vite')).href);

await build({
  configFile: false,
  root: pwa,
  publicDir: false,
  logLevel: 'warn',
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  define: { __BUILD_ID__: '"storm"', __VERSION__: '"storm"' },
  build: {
    outDir: process.argv[2],
    emptyOutDir: false,
    target: 'es2022',
    minify: false,
    modulePreload: false,
    rolldownOptions: {
      input: join(here, 'storm.ts'),
      output: { entryFileNames: 'storm.js', codeSplitting: false },
    },
  },
});
