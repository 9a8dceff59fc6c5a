// In: on standard input a list of {kind, message, properties}. Out: the lines that the toolkit of the CI service itself
// writes for them (@actions/core).
import { readFileSync } from "node:fs";
import { pathToFileURL } from "node:url";

const core = await import(pathToFileURL(`${process.env.RACKSPEC_READERS}/node_modules/@actions/core/lib/core.js`));
for (const { kind, message, properties } of JSON.parse(readFileSync(0, "utf-8"))) {
  core[kind](message, properties);
}
