import type { Work } from './turn'

/** What remains of work that can't be stored, now or (`refused`) at all: an answer still shows what its sender has not heard of. */
export const unstored = (w: Work, refused: boolean): Work[] =>
  w.kind === 'update' && w.answer ? [{ kind: 'unstored', from: w.from, bytes: w.bytes, refused }] : []

/**
 * What is still to be done of a turn that could not be stored, and of what arrived for the next one. Questions are answered from what is on
 * disk. By that answer a phone learns that an edit of its own was taken back, so refusals that it missed must be told now, while its own
 * answer still shows that it believes in them. The turn's barriers are held elsewhere, the server's edits are rejected.
 */
export function salvage(turn: readonly Work[], inbox: readonly Work[]): Work[] {
  const again: Work[] = []
  for (const w of turn) {
    if (w.kind === 'question' || w.kind === 'unstored') again.push(w)
    else again.push(...unstored(w, false))
  }
  for (const w of inbox) {
    if (w.kind === 'question' || w.kind === 'unstored' || w.kind === 'barrier') again.push(w)
    else again.push(...unstored(w, false))
  }
  return again.filter((w) => w.kind !== 'edit' && w.from.isOpen)
}
