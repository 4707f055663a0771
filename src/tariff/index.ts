export { compileTariffs } from './compile.ts';
export { type TariffProblem, tariffProblems } from './problems.ts';
export type { Rate, TariffBook } from './rate.ts';
