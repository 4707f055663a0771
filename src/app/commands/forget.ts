import { parseArgs } from 'node:util';
import type { Config } from '../../config/index.ts';
import { openClerk } from '../../storage/index.ts';
import { CodedError } from '../../units/index.ts';
import type { Renewed } from '../forgetting.ts';
import type { KeeperRequest } from '../requests.ts';
import { ask } from './ask.ts';
import { commandBooks } from './command-books.ts';
import { WRONG_CONFIG } from './config-argument.ts';

const HOW = 'ampulla forget FILE DEVICE|TANK|PROBE';

/** `ampulla forget FILE ID`: gear was replaced, or a lid; what was learned of the old is no more. */
export async function forgetCommand(args: string[]): Promise<number> {
  const { positionals } = parseArgs({ args, allowPositionals: true });
  const books = commandBooks('forget', positionals, HOW, 1);
  if (books === undefined) return WRONG_CONFIG;
  const renewed = named(positionals[1], books.config);
  const clerk = openClerk({ file: books.store });
  try {
    return await ask(clerk, requestFor(renewed));
  } finally {
    clerk.close();
  }
}

/** What is called so: by its id, or where several are by kind and id, as in 'tank/lily'. */
function named(text: string | undefined, { devices, tanks, probes }: Config): Renewed {
  const known = [
    ...Object.keys(devices).map((id): Renewed => ({ kind: 'device', id })),
    ...Object.keys(tanks).map((id): Renewed => ({ kind: 'tank', id })),
    ...Object.keys(probes).map((id): Renewed => ({ kind: 'probe', id })),
  ];
  const found = known.filter(({ kind, id }) => text === id || text === `${kind}/${id}`);
  const [only, another] = found;
  if (only !== undefined && another === undefined) return only;
  const wrong =
    text === undefined
      ? 'forget takes a device, a tank or a probe'
      : only === undefined
        ? `there is no device, tank or probe '${text}'`
        : `several are called '${text}'`;
  const choice = (found.length > 0 ? found : known).map(({ kind, id }) => `${kind}/${id}`);
  throw new CodedError('AMP_APP_FORGET', wrong, { remedy: `use one of ${choice.join(', ')}` });
}

function requestFor({ kind, id }: Renewed): KeeperRequest {
  if (kind === 'device') return { do: 'forget', device: id };
  return kind === 'probe' ? { do: 'forget', probe: id } : { do: 'forget', tank: id };
}
