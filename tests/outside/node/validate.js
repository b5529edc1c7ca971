// Asks the Khronos validator about glTF files: one JSON list of its reports on stdout.
//
// usage: node validate.js FILE...
"use strict";

const { readFileSync } = require("node:fs");
const { validateBytes } = require("gltf-validator");

async function main() {
  const reports = [];
  for (const file of process.argv.slice(2)) {
    // Nothing is ignored, and no message is left out (0 is no limit).
    reports.push(await validateBytes(new Uint8Array(readFileSync(file)), { uri: file, maxIssues: 0 }));
  }
  process.stdout.write(JSON.stringify(reports));
}

main().catch((trouble) => {
  process.stderr.write(`${trouble}\n`);
  process.exitCode = 1;
});
