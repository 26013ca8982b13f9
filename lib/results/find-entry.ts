import { heatName, type BoardView, type Entry, type Heat } from '../board'
import { classKey, nameKey, roundKey } from '../board/fold-name'
import { compareCodes, sharesWord } from '../running-order/match-cars'
import { badRow, doubtfulRow, type RowProblem } from '../tables'
import { racerText, type ListedHeatName, type ListedRacer } from './listed'

/** What a person decides about a list beside its columns. */
export interface ListChoices {
  /** For rows that name no heat. */
  heatId: string | null
  /** For rows that name a heat by its number alone. */
  roundId: string | null
  /** Rows that can't be read are left out; without this, one bad row stops the whole import. */
  leaveOutBad: boolean
}

/** The heat that a row is about. */
export function findHeat(
  view: BoardView,
  line: number,
  name: ListedHeatName,
  choices: ListChoices,
): Heat | RowProblem {
  if (name.number === null) {
    const chosen = view.heats.get(choices.heatId)
    return chosen && !chosen.removed
      ? chosen
      : badRow(line, 'Heat', '', 'is not named in the list', 'Choose the heat above the preview.')
  }
  const round = name.round
    ? view.rounds.live.find((r) => roundKey(r.name ?? '') === roundKey(name.round))?.id
    : (choices.roundId ?? undefined)
  const numbered = view.heats.live.filter(
    (h) => !h.isBreak && h.number === name.number && h.roundId === round,
  )
  const classOf = (h: Heat) => classKey(view.classes.get(h.classId)?.name ?? '')
  const fits = numbered.filter((h) =>
    name.classText ? [classKey(name.classText), ''].includes(classOf(h)) : isIn(classOf(h), name.heading),
  )
  // A heading says many things; a column of classes says one.
  const found = fits.length > 0 || name.classText ? fits : numbered
  const shown = [name.round, heatName({ number: name.number })].filter(Boolean).join(', ')
  if (!round)
    return badRow(
      line,
      'Round',
      name.round,
      'is not a round of this meeting',
      'Choose the round above the preview.',
    )
  if (!found[0] && numbered[0])
    return badRow(
      line,
      'Class',
      name.classText.slice(0, 60),
      `is not the class of ${shown}`,
      'Correct the class or the heat, or set the column to “Not used”.',
    )
  if (!found[0])
    return badRow(line, 'Heat', shown, 'is not in the running order', 'Correct the number, or the round.')
  if (found.length > 1)
    return badRow(line, 'Heat', shown, `is the name of ${found.length} heats`, 'Add a column with the class.')
  return found[0]
}

/** Are all words of a class in a text? */
const isIn = (key: string, text: string): boolean => {
  const words = new Set(classKey(text).split(' '))
  return key !== '' && key.split(' ').every((w) => words.has(w))
}

export interface FoundEntry {
  entry: Entry
  by: 'transponder' | 'name' | 'number'
  /** Somebody should look, though it is taken. */
  doubt: RowProblem | null
}

/**
 * Which entry of a heat a row is about: by its transponder, else by a name that nothing speaks against, else by its number. A number alone is taken within
 * one heat, where it stands once.
 */
export function findEntry(
  view: BoardView,
  line: number,
  racer: ListedRacer,
  heat: Heat,
): FoundEntry | RowProblem {
  const entries = view.entries.live.filter((e) => e.heatId === heat.id)
  const heatIs = heatName(heat, view.classes.get(heat.classId)?.name)
  const only = (list: Entry[]) => (list.length === 1 ? list[0] : undefined)
  const sameName = (e: Entry) => nameKey(e.driverName ?? '') === nameKey(racer.driverName)
  const hasName = nameKey(racer.driverName) !== ''

  const tagged = only(entries.filter((e) => compareCodes(e.transponder, racer.transponder) === 'same'))
  if (tagged)
    return {
      entry: tagged,
      by: 'transponder',
      doubt:
        hasName && tagged.driverName && !sameName(tagged)
          ? doubtfulRow(
              line,
              'Driver name',
              racer.driverName,
              `has ${tagged.driverName}’s transponder`,
              'Imported by the transponder. Check who it is.',
            )
          : null,
    }
  if (hasName) {
    const named = entries.filter(sameName)
    const entry =
      only(named) ?? only(named.filter((e) => compareCodes(e.carNumber, racer.carNumber) === 'same'))
    if (entry) {
      const other =
        compareCodes(entry.transponder, racer.transponder) === 'other'
          ? `transponder ${entry.transponder}`
          : compareCodes(entry.carNumber, racer.carNumber) === 'other'
            ? `number ${entry.carNumber}`
            : null
      return {
        entry,
        by: 'name',
        doubt: other
          ? doubtfulRow(
              line,
              'Driver name',
              racer.driverName,
              `has ${other} in the running order`,
              'Imported by the name. Check who it is.',
            )
          : null,
      }
    }
    if (named.length > 1)
      return badRow(
        line,
        'Driver name',
        racer.driverName,
        `is the name of ${named.length} racers in this heat`,
        'Add their numbers or transponders.',
      )
  }
  const numbered = only(entries.filter((e) => compareCodes(e.carNumber, racer.carNumber) === 'same'))
  if (numbered && !hasName) return { entry: numbered, by: 'number', doubt: null }
  const isSomebodyElse =
    numbered?.driverName && !sharesWord(nameKey(numbered.driverName), nameKey(racer.driverName))
  if (numbered && isSomebodyElse)
    return badRow(
      line,
      'Driver name',
      racer.driverName,
      `is not ${numbered.driverName}, who has number ${numbered.carNumber} in ${heatIs}`,
      'Check that the list is of this heat, or correct the name or the number.',
    )
  if (numbered)
    return {
      entry: numbered,
      by: 'number',
      doubt: doubtfulRow(
        line,
        'Driver name',
        racer.driverName,
        `has ${numbered.driverName ?? 'another racer'}’s number`,
        'Imported by the number. Check who it is.',
      ),
    }
  return badRow(
    line,
    'Driver',
    racerText(racer),
    `is not in ${heatIs}`,
    'Add the racer to the heat under Meeting setup, or correct the name, number or transponder.',
  )
}
