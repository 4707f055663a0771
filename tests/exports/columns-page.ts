import { EXPORT_KINDS, type ExportKind, tableView } from '../../src/exports/index.ts';

/** How docs/exports.md lists a kind: its heading, what a row is, and every column. */
export function sectionOf(kind: ExportKind): string {
  const { about, columns } = tableView(kind);
  return [
    `### ${kind}`,
    '',
    about,
    '',
    '| column | unit | meaning |',
    '| --- | --- | --- |',
    ...columns.map(({ key, unit, meaning }) => `| \`${key}\` | ${unit} | ${meaning} |`),
    '',
  ].join('\n');
}

export const columnsPage = (): string => EXPORT_KINDS.map(sectionOf).join('\n');
