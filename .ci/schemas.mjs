// Validates documents/NAME.jsonl against schemas/NAME.json with ajv, in its strict mode.
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";

const require = createRequire(process.env.LOOK_MODULES ? process.env.LOOK_MODULES + "/" : import.meta.url);
const Ajv = require("ajv/dist/2020");
let bad = 0;
for (const name of process.argv.slice(2)) {
  // A required key may be one that only another branch describes.
  const validate = new Ajv({ strict: true, strictRequired: false, allErrors: true }).compile(JSON.parse(readFileSync(`schemas/${name}.json`)));
  let count = 0;
  for (const line of readFileSync(`documents/${name}.jsonl`, "utf8").split("\n")) {
    if (line === "") continue;
    count++;
    const document = JSON.parse(line);
    if (validate(document)) continue;
    for (const e of validate.errors.slice(0, 3)) console.log(`${name}: ${document.score}: ${e.instancePath}: ${e.message}`);
    bad++;
  }
  console.log(`ajv: ${name}: ${count} documents`);
  if (count === 0) bad++;
}
process.exit(bad > 0 ? 1 : 0);
