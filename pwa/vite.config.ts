import { svelte } from '@sveltejs/vite-plugin-svelte'
import { VitePWA } from 'vite-plugin-pwa'
import { defineConfig } from 'vitest/config'

const manifest = {
  name: 'Nubbin',
  short_name: 'Nubbin',
  description: 'Labels, checks at the tank and days to ready for coral pieces.',
  id: '/',
  start_url: '/scan',
  scope: '/',
  display: 'standalone' as const,
  background_color: '#f6f1e6',
  theme_color: '#f6f1e6',
  icons: [
    { src: '/icon-192.png', sizes: '192x192', type: 'image/png' },
    { src: '/icon-512.png', sizes: '512x512', type: 'image/png' },
    { src: '/icon-maskable-512.png', sizes: '512x512', type: 'image/png', purpose: 'maskable' },
    { src: '/icon.svg', sizes: 'any', type: 'image/svg+xml' },
  ],
}

export default defineConfig({
  plugins: [
    svelte(),
    VitePWA({
      registerType: 'prompt',
      injectRegister: false,
      strategies: 'generateSW',
      manifest,
      includeAssets: [],
      workbox: {
        globPatterns: ['**/*.{html,js,css,svg,png,wasm,webmanifest}'],
        // The server's own paths must reach the server even when a page is opened on them.
        navigateFallback: '/index.html',
        navigateFallbackDenylist: [/^\/api(\/|$)/],
        cleanupOutdatedCaches: true,
        inlineWorkboxRuntime: true,
        maximumFileSizeToCacheInBytes: 4 * 1024 * 1024,
      },
    }),
  ],
  worker: { format: 'es' },
  build: {
    target: 'es2022',
    // Data addresses for small files would only make them uncacheable apart.
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
  },
  server: { proxy: { '/api': 'http://127.0.0.1:8000' } },
  test: {
    include: ['src/**/*.test.ts', 'tests/**/*.test.ts'],
    environment: 'node',
    passWithNoTests: false,
  },
})
