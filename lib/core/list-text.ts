/**
 * Names or figures in a sentence: `Rook`, `Rook and Vale`, `Rook, Vale and Wren`; with more than `most`, `Rook, Vale and 3 more`.
 *
 * @param most at least 2
 */
export function listText(items: readonly string[], most = Infinity): string {
  const shown =
    items.length > most ? [...items.slice(0, most - 1), `${items.length - most + 1} more`] : [...items]
  const last = shown.pop() ?? ''
  return shown.length ? `${shown.join(', ')} and ${last}` : last
}
