import type { Instant } from '../units/index.ts';
import type { Finding, Subject, WatchName } from './finding.ts';

/** Where a subject is, as far as it is known. */
export interface Place {
  readonly room: string | undefined;
  /** The tank that it is, or serves. */
  readonly tank: string | undefined;
  /** The plug that a device hangs on. */
  readonly plug: string | undefined;
}

/** A rule: what was kept, what is seen, and when, make what is kept and what is found. */
export type Watcher<Input, State> = (
  before: State | undefined,
  input: Input,
  now: Instant,
) => { state: State; finding: Finding };

/** Lets one watch look: keeps its state and gathers its finding. */
export type LookWith = <Input, State>(
  watch: WatchName,
  kind: Subject['kind'],
  id: string,
  place: Place,
  watcher: Watcher<Input, State>,
  input: () => Input,
) => void;
