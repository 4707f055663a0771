import { createView, crossCheck } from './cross-checks/index.ts';
import { readText } from './files.ts';
import { deepFreeze } from './freeze.ts';
import { placeFinding, placeSyntax } from './place.ts';
import { type Finding, inFileOrder, type Path, type Problem } from './problem.ts';
import type { Config } from './schema.ts';
import { createResolver, type Environment, rememberSecrets } from './secrets.ts';
import { plainValue } from './tree-value.ts';
import { validate } from './validate.ts';
import { readYaml } from './yaml-tree.ts';

/** A configuration that runs. */
export interface LoadedConfig {
  readonly ok: true;
  /** Defaults filled in, references resolved, frozen to its leaves. */
  readonly config: Config;
  /** What runs, but hardly as meant; in file order. */
  readonly warnings: readonly Problem[];
  /** Where the configuration holds what came from a reference: never to be shown. */
  readonly secrets: readonly Path[];
}

/** A configuration that does not: everything that is wrong with it, in file order. */
export interface RefusedConfig {
  readonly ok: false;
  readonly problems: readonly Problem[];
}

export type LoadResult = LoadedConfig | RefusedConfig;

/** A file larger than this is no configuration. */
const SIZE_LIMIT = 1024 * 1024;

/**
 * Reads and checks the configuration file. Never throws for what the file holds; all mistakes are
 * reported together.
 *
 * @param env where `${env:NAME}` looks, usually process.env
 */
export function loadConfig(file: string, env: Environment): LoadResult {
  const read = readText(file, SIZE_LIMIT);
  if ('text' in read) return parseConfig(read.text, file, env);
  return {
    ok: false,
    problems: [
      {
        code: 'AMP_CONFIG_READ',
        file,
        line: 1,
        column: 1,
        path: '',
        found: read.trouble,
        allowed: `a UTF-8 text file of at most ${SIZE_LIMIT} bytes`,
        remedy: 'check the path and its permissions',
      },
    ],
  };
}

/** As loadConfig, for a text already read. `${file:PATH}` is still looked up beside `file`. */
export function parseConfig(text: string, file: string, env: Environment): LoadResult {
  const tree = readYaml(text);
  const problems = tree.findings.map((finding) => placeSyntax(file, tree, finding));
  const repeatsTooMuch = problems.some(({ code }) => code === 'AMP_CONFIG_ALIASES');
  if (repeatsTooMuch || (tree.root === undefined && problems.length > 0)) {
    return { ok: false, problems: inFileOrder(problems) };
  }

  const { value, secrets, findings: lost } = plainValue(tree.root, createResolver(file, env));
  const judged = withoutSections(value, tree.garbled);
  const { config, findings, wrong, remarks, seen } = validate(judged, tree.root);
  const unreadable = [...lost, ...tree.findings.filter(({ garbles }) => garbles === 'value')].map(
    ({ path }) => path,
  );
  const lostPaths = new Set(unreadable.map((path) => JSON.stringify(path)));
  const kept = findings.filter(
    (finding) => !lostPaths.has(JSON.stringify(finding.path)) && !isCasualty(finding, tree.garbled),
  );
  const view = createView({
    value: seen,
    wrong: [...wrong, ...unreadable],
    garbled: tree.garbled,
    secrets,
  });
  const checked = crossCheck(view);
  const told = new Set(checked.map(({ path }) => JSON.stringify(path)));
  const untold = remarks.filter(({ path }) => !told.has(JSON.stringify(path)));
  const all = [...lost, ...kept, ...untold, ...checked];
  const place = (finding: Finding): Problem => placeFinding(file, tree, finding);
  problems.push(...all.filter(({ warning }) => warning !== true).map(place));

  if (config === undefined || problems.length > 0) {
    return { ok: false, problems: inFileOrder(problems) };
  }
  const warnings = inFileOrder(all.map(place));
  rememberSecrets(config, secrets);
  return { ok: true, config: deepFreeze(config), warnings, secrets };
}

/** The value without the sections that a mistake in the YAML has made unreadable. */
function withoutSections(value: unknown, garbled: ReadonlySet<string>): unknown {
  if (garbled.size === 0 || typeof value !== 'object' || value === null) return value;
  return Object.fromEntries(Object.entries(value).filter(([key]) => !garbled.has(key)));
}

/** Said only because the YAML around it is broken: a section withheld above, or swallowed. */
function isCasualty({ code, path }: Finding, garbled: ReadonlySet<string>): boolean {
  if (garbled.size === 0 || path.length > 1) return false;
  return code === 'AMP_CONFIG_MISSING' || garbled.has(String(path[0]));
}
