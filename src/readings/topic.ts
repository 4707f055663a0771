/** A feed's topic with its named levels, such as 'fishroom/{plug}/state'. */
export interface TopicPattern {
  /** The MQTT topic filter to subscribe to: named levels turned into '+'. */
  readonly filter: string;
  /** The names that stand in the pattern, in order. */
  readonly names: readonly string[];
  /** The text of each named level, or undefined when the topic does not match. */
  match(topic: string): ReadonlyMap<string, string> | undefined;
}

const NAMED = /^\{([a-z][a-z0-9_]*)\}$/;

/** Splits a pattern once, so that a topic is matched without looking at its text again. */
export function compileTopic(pattern: string): TopicPattern {
  const levels = pattern.split('/').map((text) => ({ text, name: NAMED.exec(text)?.[1] }));
  const filter = levels.map(({ text, name }) => (name === undefined ? text : '+')).join('/');
  const wanted = filter.split('/');

  return {
    filter,
    names: levels.flatMap(({ name }) => (name === undefined ? [] : [name])),
    match(topic) {
      const found = topic.split('/');
      if (!matches(wanted, found)) return undefined;
      const named = new Map<string, string>();
      levels.forEach(({ name }, depth) => {
        if (name !== undefined) named.set(name, found[depth] ?? '');
      });
      return named;
    },
  };
}

/**
 * MQTT 5 §4.7: '+' is one level, a last '#' is the parent and all below it, and neither at the
 * front matches a topic that begins with '$'.
 */
function matches(wanted: readonly string[], found: readonly string[]): boolean {
  if (found[0]?.startsWith('$') && (wanted[0] === '+' || wanted[0] === '#')) return false;
  for (const [depth, level] of wanted.entries()) {
    if (level === '#') return true;
    if (depth >= found.length) return false;
    if (level !== '+' && level !== found[depth]) return false;
  }
  return wanted.length === found.length;
}

/** The fewest filters that together bring the same topics: equal and covered ones are dropped. */
export function fewestFilters(filters: Iterable<string>): string[] {
  const distinct = [...new Set(filters)];
  return distinct.filter(
    (filter) => !distinct.some((other) => other !== filter && covers(other, filter)),
  );
}

/** Whether every topic that `narrow` matches is matched by `wide` as well. */
function covers(wide: string, narrow: string): boolean {
  const a = wide.split('/');
  const b = narrow.split('/');
  if (b[0]?.startsWith('$') && (a[0] === '+' || a[0] === '#')) return false;
  for (const [depth, level] of a.entries()) {
    if (level === '#') return true;
    const other = b[depth];
    if (other === undefined || other === '#') return false;
    if (level !== '+' && level !== other) return false;
  }
  return a.length === b.length;
}
