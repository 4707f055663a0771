import type { Finding } from '../problem.ts';
import { exactlyOne, missingReference } from './references.ts';
import type { View } from './view.ts';

/** What thresholds are overridden for exists. */
export function checkWatches(view: View): Finding[] {
  return (view.file.watches?.overrides ?? []).flatMap((override, index) => {
    const path = ['watches', 'overrides', index];
    return [
      ...exactlyOne(view, path, ['tanks', 'devices', 'housing'], 'say whom it is for'),
      ...(['tanks', 'devices'] as const).flatMap((section) =>
        (override?.[section] ?? []).flatMap((id, at) =>
          missingReference(view, [...path, section, at], id, section),
        ),
      ),
    ];
  });
}
