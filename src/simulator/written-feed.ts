/** The parts of a feed's config that say what its messages look like. */
export interface WrittenFeed {
  readonly topic: string;
  readonly names: Readonly<Record<string, string>>;
  readonly values: readonly WrittenValue[];
  readonly time?: { readonly at: string; readonly format: string } | undefined;
  readonly decimal_comma: boolean;
}

export interface WrittenValue {
  readonly measure: 'power' | 'counter' | 'voltage' | 'temperature' | 'humidity' | 'presence';
  readonly plug?: string | undefined;
  readonly probe?: string | undefined;
  readonly at?: string | undefined;
  readonly unit?: string;
  readonly sign?: string;
  readonly scale?: number;
  readonly offset?: number;
  readonly sentinels?: readonly number[];
  readonly on?: readonly string[];
  readonly off?: readonly string[];
}
