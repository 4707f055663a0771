export { blockPrice } from './block-price.ts';
export { compileTariffs } from './compile.ts';
export { type TariffProblem, tariffProblems } from './problems/index.ts';
export type {
  Bill,
  BillLine,
  BillUse,
  Rate,
  RatePrice,
  SlotPrice,
  Tariff,
  TariffBook,
} from './rate.ts';
