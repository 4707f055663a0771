/** A title has no markup to keep a name's direction to itself: its control characters go. */
export const plain = (name: string): string => name.replace(/[^\P{C}\u200C\u200D]/gu, ' ').trim();
