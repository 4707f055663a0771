export type { Chunks } from './chunks.ts';
export { type EspiOptions, readEspi } from './espi/read.ts';
export type { HouseImport, MeterImport } from './house-import.ts';
export { type FileProblem, FileRefused } from './refused.ts';
