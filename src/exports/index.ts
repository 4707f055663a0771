export type { ExportSite } from './column.ts';
export {
  EXPORT_FORMATS,
  EXPORT_KINDS,
  type ExportFormat,
  type ExportKind,
  type ExportOptions,
  type ExportSources,
  exportRows,
  type TableView,
  tableView,
} from './export.ts';
export type { Notes } from './notes.ts';
export { reconciliationText } from './reconciliation-text.ts';
export { createWords, type Words } from './words.ts';
