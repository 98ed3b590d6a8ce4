import { createHash } from 'node:crypto';
import { readdirSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { defineConfig, type Plugin } from 'vite';
import { VitePWA } from 'vite-plugin-pwa';

const { version } = JSON.parse(readFileSync(new URL('./package.json', import.meta.url), 'utf8')) as {
  version: string;
};

/** Same sources, same build id: a rebuild without changes offers nobody an update. */
function buildId(): string {
  const hash = createHash('sha256');
  const walk = (path: string): void => {
    if (statSync(path).isDirectory()) {
      for (const name of readdirSync(path).sort()) walk(join(path, name));
    } else if (!/\.test\.tsx?$/.test(path)) {
      hash.update(path).update(readFileSync(path));
    }
  };
  for (const root of ['index.html', 'package-lock.json', 'public', 'src']) walk(root);
  return hash.digest('hex').slice(0, 12);
}

const build = buildId();

/** The page compares this file with its own build id to notice a stale shell; it is never precached. */
function versionFile(): Plugin {
  return {
    name: 'underboard-version-file',
    apply: 'build',
    generateBundle() {
      this.emitFile({ type: 'asset', fileName: 'version.json', source: JSON.stringify({ version, build }) });
    },
  };
}

// One file holds what draws a board to count on: each file more is one more question to the worker, a hundredth of a second
// on a slow phone. Screens opened later keep their own.
const FRAME =
  /vite\/preload-helper|node_modules\/(?!uplot|uqr)|src\/(app|parts|storage|sync)\/(?!photos|picture|unsent|new_history|turned_down|notices|plot_files|pages|pull|pairing\.|chart|ask_plot|let_in|breath|keyboard|keys)|src\/text\/(en|index|catalogue|format|kept_writing|language)\.ts|src\/text\/en\/(forms|now|parts|round|shell|told)\.ts|src\/domain\/(double_counts|daylight)|src\/agronomy\/(sun|local_time|input|special\/solve)/;
const BOARD =
  /src\/screens\/round\/[^.]+\.tsx?$|src\/screens\/forms\/(local_time|plot_facts|typed_number|use_draft|write|known)|src\/domain\/(round_model|stop_advice)|src\/agronomy\/(cluster_limits|count_|negative_binomial|poisson_interval|spread|stop_line|effort|special\/)/;

// Now, and what is said there of nights, treated places and trials: two files instead of fifteen.
const NOW =
  /src\/screens\/(now\/(?!index|late|night)|warnings\/(written|words|replies)|traps\/in_ground|plot\/(model|sketch\/geometry))[^.]*\.tsx?$|src\/domain\/(warnings|uuid5)/;
const LATE =
  /src\/screens\/(now\/(late|night)|evening\/(forecast|tonight|seen|model)|warnings\/(last_night|model|night_facts|numbers|worst|night_picture|night_drawing)|readings\/model|watch\/model|diary\/(harvest_waits|crops|waiting|words|model|treatment|samples)|trials\/(due_card|load|words|model|flaws|plan|draw))\.tsx?$|src\/domain\/(frost_decision|standing_crops|crop_damage|reading_flaws)|src\/agronomy\/(day_credit|humidity|night_curve|frost_tonight)/;

/**
 * Nearly all that is in these files runs at a start. V8 compiles a function when it is first called, on the thread that
 * draws; so marked (chromestatus.com, "Explicit JavaScript compile hints (file based)") it compiles the file while it
 * arrives, on another thread, and keeps the whole for the next start. To other browsers it is a comment.
 */
const AT_START = new Set(['frame', 'now', 'late']);
const COMPILE_AHEAD = '//# allFunctionsCalledOnLoad\n';

function compileAhead(): Plugin {
  return {
    name: 'underboard-compile-ahead',
    apply: 'build',
    enforce: 'post',
    generateBundle: {
      order: 'post', // the mark counts at the very beginning of a file
      handler(_options, bundle) {
        for (const file of Object.values(bundle)) {
          if (file.type === 'chunk' && AT_START.has(file.name)) file.code = COMPILE_AHEAD + file.code;
        }
      },
    },
  };
}

/** Ask for the frame beside the entry that imports it: on a slow phone a second wave costs a tenth of a second. */
function frameFirst(): Plugin {
  return {
    name: 'underboard-frame-first',
    apply: 'build',
    transformIndexHtml: {
      order: 'post',
      handler(_html, { bundle }) {
        const chunks = Object.values(bundle ?? {}).filter((file) => file.type === 'chunk');
        const wanted = new Set<string>();
        const walk = (name: string): void => {
          const chunk = chunks.find((file) => file.fileName === name);
          if (!chunk || wanted.has(name)) return;
          wanted.add(name);
          for (const other of chunk.imports) walk(other);
        };
        for (const chunk of chunks) if (chunk.name === 'frame') walk(chunk.fileName);
        return [...wanted].map((name) => ({
          tag: 'link',
          attrs: { rel: 'modulepreload', crossorigin: true, href: `/${name}` },
          injectTo: 'head',
        }));
      },
    },
  };
}

export default defineConfig({
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  define: { __BUILD_ID__: JSON.stringify(build), __VERSION__: JSON.stringify(version) },
  build: {
    outDir: '../server/underboard/web/client',
    emptyOutDir: true,
    target: 'es2022',
    assetsInlineLimit: 0, // the content security policy allows no data: addresses
    // The page itself asks for the frame (frameFirst); nothing is left to look up later.
    modulePreload: { polyfill: false, resolveDependencies: () => [] },
    rolldownOptions: {
      output: {
        codeSplitting: {
          includeDependenciesRecursively: false,
          groups: [
            { name: 'frame', test: new RegExp(`${FRAME.source}|${BOARD.source}`) },
            { name: 'now', test: NOW },
            { name: 'late', test: LATE },
            { name: 'pen', test: /src\/parts\/chart\/(axis|canvas_pen|decimate|paint|shapes)\./ }, // else part of Findings, which charts would fetch
          ],
        },
      },
    },
  },
  server: { proxy: { '/api': 'http://127.0.0.1:8350' } },
  plugins: [
    versionFile(),
    frameFirst(),
    compileAhead(),
    VitePWA({
      strategies: 'injectManifest',
      srcDir: 'src',
      filename: 'sw.ts',
      injectRegister: false, // src/app/update.ts registers, with updateViaCache "none"
      registerType: 'prompt',
      includeManifestIcons: false, // the glob below takes them already; both would precache each icon twice
      injectManifest: {
        globPatterns: ['**/*.{js,css,html,svg,png,webmanifest}'],
        globIgnores: ['version.json'],
      },
      manifest: {
        id: '/',
        name: 'Underboard',
        short_name: 'Underboard',
        description: 'Count slugs and wireworms, read thermometers, with no signal on the plot.',
        lang: 'en',
        start_url: '/',
        scope: '/',
        display: 'standalone',
        background_color: '#120c07',
        theme_color: '#120c07',
        categories: ['productivity', 'utilities'],
        icons: [
          { src: '/icon-192.png', sizes: '192x192', type: 'image/png', purpose: 'any' },
          { src: '/icon-512.png', sizes: '512x512', type: 'image/png', purpose: 'any' },
          { src: '/icon-maskable-512.png', sizes: '512x512', type: 'image/png', purpose: 'maskable' },
        ],
      },
    }),
  ],
  test: {
    include: ['src/**/*.test.ts', 'src/**/*.test.tsx'],
    setupFiles: ['src/app/around_tests.ts'],
    environment: 'node',
    // Modules are loaded once for all files of a process: half the processor time. A loaded machine is slow, not wrong.
    pool: 'forks',
    isolate: false,
    testTimeout: 120_000,
    hookTimeout: 120_000,
    css: { include: /tokens\.css/ }, // the contrast test reads it
  },
} as Parameters<typeof defineConfig>[0]);
