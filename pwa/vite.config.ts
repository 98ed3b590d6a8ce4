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

export default defineConfig({
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  define: { __BUILD_ID__: JSON.stringify(build), __VERSION__: JSON.stringify(version) },
  build: {
    outDir: '../server/underboard/web/client',
    emptyOutDir: true,
    target: 'es2022',
    assetsInlineLimit: 0, // the content security policy allows no data: addresses
    modulePreload: { polyfill: false },
  },
  server: { proxy: { '/api': 'http://127.0.0.1:8350' } },
  plugins: [
    versionFile(),
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
    setupFiles: ['src/text/load_for_tests.ts'],
    environment: 'node',
    css: { include: /tokens\.css/ }, // the contrast test reads it
  },
} as Parameters<typeof defineConfig>[0]);
