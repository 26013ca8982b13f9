import type { Entry } from '../board/collections'
import { nameKey } from '../board/fold-name'
import { compareCodes } from './match-cars'
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

const sameTransponder = (e: Entry, l: ListedEntry) => compareCodes(e.transponder, l.transponder) === 'same'
const sameName = (e: Entry, l: ListedEntry) =>
  nameKey(l.driverName) !== '' && nameKey(e.driverName ?? '') === nameKey(l.driverName)
const sameNumber = (e: Entry, l: ListedEntry) => compareCodes(e.carNumber, l.carNumber) === 'same'
/** Neither the transponder nor the number says that it is somebody else of that name. */
const nothingAgainst = (e: Entry, l: ListedEntry) =>
  compareCodes(e.transponder, l.transponder) !== 'other' && compareCodes(e.carNumber, l.carNumber) !== 'other'

/**
 * Which entry of the board each listed entry is. First within its heat, then among the other heats of the same round and class: an entry
 * that moved to another heat keeps what was assigned to it. In both, who agrees in most goes first: name with transponder or number, then a
 * name that nothing speaks against, then a name that only one racer has, then the transponder alone (a name that was corrected), then the
 * team's car.
 */
export function matchEntries(
  listed: readonly EntryToMatch[],
  onBoard: readonly BoardEntry[],
): Map<EntryToMatch, BoardEntry> {
  const found = new Map<EntryToMatch, BoardEntry>()
  const taken = new Set<BoardEntry>()
  const pass = (fits: (b: BoardEntry, l: EntryToMatch) => boolean, onlyIfAlone = false) => {
    for (const l of listed) {
      if (found.has(l)) continue
      const candidates = onBoard.filter((b) => !taken.has(b) && fits(b, l))
      // A removed entry comes back only when no live one fits.
      const b = candidates.find((c) => !c.entry.removed) ?? candidates[0]
      if (!b) continue
      if (onlyIfAlone) {
        const live = candidates.filter((c) => !c.entry.removed)
        const rivals = listed.filter((o) => !found.has(o) && fits(b, o))
        if (live.length > 1 || rivals.length > 1) continue
      }
      found.set(l, b)
      taken.add(b)
    }
  }
  const within = (place: (b: BoardEntry, l: EntryToMatch) => boolean) => {
    pass((b, l) => place(b, l) && sameName(b.entry, l.listed) && sameTransponder(b.entry, l.listed))
    pass((b, l) => place(b, l) && sameName(b.entry, l.listed) && sameNumber(b.entry, l.listed))
    pass((b, l) => place(b, l) && sameName(b.entry, l.listed) && nothingAgainst(b.entry, l.listed))
    pass((b, l) => place(b, l) && sameName(b.entry, l.listed), true)
    pass((b, l) => place(b, l) && sameTransponder(b.entry, l.listed))
  }
  const here = (b: BoardEntry, l: EntryToMatch) => b.entry.heatId === l.heatId
  within(here)
  pass((b, l) => here(b, l) && l.carId !== null && b.entry.carId === l.carId)
  within((b, l) => b.group === l.group && b.entry.heatId !== l.heatId && !b.entry.removed && !b.started)
  return found
}
