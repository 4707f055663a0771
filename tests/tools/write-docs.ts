/** Writes what is made from the schema: the editors' JSON Schema and the reference page. */
import { writeFileSync } from 'node:fs';
import { referenceText, schemaText } from './config-reference.ts';

for (const [file, text] of [
  ['config/ampulla.schema.json', schemaText()],
  ['docs/configuration.md', referenceText()],
] as const) {
  writeFileSync(new URL(`../../${file}`, import.meta.url), text);
  console.log(`${file}: ${text.length} characters`);
}
