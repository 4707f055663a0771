import { readFileSync, writeFileSync } from 'node:fs';
import { columnsPage } from './columns-page.ts';
const page = readFileSync('docs/exports.md', 'utf8');
writeFileSync('docs/exports.md', page.slice(0, page.indexOf('### ')) + columnsPage());
