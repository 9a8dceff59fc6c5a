// In: on standard input {schema, documents: {name: document}}. Out: {name: [faults]}, by ajv in its mode for draft 2020-12.
import { createRequire } from "node:module";
import { readFileSync } from "node:fs";

const require = createRequire(`${process.env.RACKSPEC_READERS}/`);
const Ajv = require("ajv/dist/2020");
const { schema, documents, strict } = JSON.parse(readFileSync(0, "utf-8"));
const ajv = new Ajv({ strict, allErrors: true, validateFormats: false });
const validate = ajv.compile(schema);
const told = {};
for (const [name, document] of Object.entries(documents)) {
  told[name] = validate(document) ? [] : validate.errors.map((error) => `${error.instancePath} ${error.message}`);
}
process.stdout.write(JSON.stringify(told));
