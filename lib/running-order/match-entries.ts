import type { Entry } from '../board/collections'
import { nameKey } from '../board/fold-name'
import type { ListedEntry } from './running-order'

export interface EntryToMatch {
  listed: ListedEntry
  heatId: string
  /** Round and class: an entry can move between the heats of one. */
  group: string
  /** The team's car that the listed entry was matched to. */
  carId: string | null
}
export interface BoardEntry {
  entry: Entry
  group: string
  /** The heat has a start stamp: who was in it stays in it. */
  started: boolean
}

const sameTransponder = (e: Entry, l: ListedEntry) =>
  l.transponder !== '' && (e.transponder ?? '').toUpperCase() === l.transponder.toUpperCase()
const sameName = (e: Entry, l: ListedEntry) =>
  nameKey(l.driverName) !== '' && nameKey(e.driverName ?? '') === nameKey(l.driverName)

/**
 * Which entry of the board each listed entry is. First within its heat (by transponder, then name, then the team's car), then among the
 * other heats of the same round and class: an entry that moved to another heat keeps what was assigned to it.
 */
export function matchEntries(
  listed: readonly EntryToMatch[],
  onBoard: readonly BoardEntry[],
): Map<EntryToMatch, BoardEntry> {
  const found = new Map<EntryToMatch, BoardEntry>()
  const taken = new Set<BoardEntry>()
  const pass = (fits: (b: BoardEntry, l: EntryToMatch) => boolean) => {
    for (const l of listed) {
      if (found.has(l)) continue
      const candidates = onBoard.filter((b) => !taken.has(b) && fits(b, l))
      // A removed entry comes back only when no live one fits.
      const b = candidates.find((c) => !c.entry.removed) ?? candidates[0]
      if (!b) continue
      found.set(l, b)
      taken.add(b)
    }
  }
  const here = (b: BoardEntry, l: EntryToMatch) => b.entry.heatId === l.heatId
  pass((b, l) => here(b, l) && sameTransponder(b.entry, l.listed))
  pass((b, l) => here(b, l) && sameName(b.entry, l.listed))
  pass((b, l) => here(b, l) && l.carId !== null && b.entry.carId === l.carId)
  const elsewhere = (b: BoardEntry, l: EntryToMatch) =>
    b.group === l.group && b.entry.heatId !== l.heatId && !b.entry.removed && !b.started
  pass((b, l) => elsewhere(b, l) && sameTransponder(b.entry, l.listed))
  pass((b, l) => elsewhere(b, l) && sameName(b.entry, l.listed))
  return found
}
