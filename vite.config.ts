import { svelte } from '@sveltejs/vite-plugin-svelte'
import { defineConfig } from 'vite'
import { pageFiles } from './scripts/page-files.ts'

const target = process.env['HEXCAIRN_API'] ?? 'http://127.0.0.1:8080'

export default defineConfig({
  root: 'web',
  plugins: [svelte(), pageFiles(import.meta.dirname)],
  build: { outDir: '../dist/web', emptyOutDir: true, target: 'es2022' },
  worker: { format: 'es' },
  server: { proxy: { '/api': { target, ws: true } } },
})
