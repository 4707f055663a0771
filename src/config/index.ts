export { type ConfigChange, compareConfigs } from './compare.ts';
export { describeConfig } from './describe.ts';
export { besideConfig } from './files.ts';
export {
  type LoadedConfig,
  type LoadResult,
  loadConfig,
  parseConfig,
  type RefusedConfig,
} from './load.ts';
export { formatPath, formatProblems, type Path, type Problem } from './problem.ts';
export type { Config } from './schema.ts';
export type { Environment } from './secrets.ts';
export { showConfig } from './show.ts';
