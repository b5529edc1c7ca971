// Builds the page into plain files that the binary carries. The output folder comes from
// the build script of crates/web-ui; alone, `npm run build` writes to `dist`.
import { svelte } from "@sveltejs/vite-plugin-svelte";
import { defineConfig } from "vite";

export default defineConfig({
  plugins: [svelte()],
  // The fonts stand with the sheets, one copy for page and paper.
  server: {
    fs: { allow: [".", "../crates/sheet/fonts"] },
    // `npm run dev` beside a running `rondure serve`, which answers only to its own page:
    // the request is passed on as if it came from there.
    proxy: {
      "/api": {
        target: process.env.RONDURE_SERVER ?? "http://127.0.0.1:8360",
        changeOrigin: true,
        configure: (proxy) =>
          proxy.on("proxyReq", (request) => {
            request.removeHeader("origin");
            request.removeHeader("sec-fetch-site");
          }),
      },
    },
  },
  build: {
    outDir: process.env.RONDURE_WEB_OUT ?? "dist",
    emptyOutDir: true,
    target: "es2022",
    // No data: addresses and no helper scripts: the content security policy forbids both.
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    reportCompressedSize: true,
  },
});
