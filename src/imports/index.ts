export type { Chunks } from './chunks.ts';
export { type HouseColumns, type HouseCsvOptions, readHouseCsv } from './csv/house.ts';
export {
  type PriceColumns,
  type PriceCsvOptions,
  type PriceImport,
  readPriceCsv,
} from './csv/prices.ts';
export { type EspiOptions, readEspi } from './espi/read.ts';
export type { HouseImport, MeterImport } from './house-import.ts';
export { type FileProblem, FileRefused } from './refused.ts';
