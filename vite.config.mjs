import { defineConfig } from 'vite';

export default defineConfig({
  root: 'web',
  base: './',
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  build: { outDir: '../dist/web', emptyOutDir: true, target: 'esnext', modulePreload: { polyfill: false } },
});
