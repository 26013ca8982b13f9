import { classKey, fold, roundKey } from '../board/fold-name'
import type { ListedHeat } from './running-order'
import type { HeatName } from './section-line'

/** A heat's identity over several versions of a running order. */
export const heatKeyOf = (round: string, classText: string, number: number): string =>
  `${roundKey(round)}|${classKey(classText)}|${number}`
export const breakKeyOf = (round: string, label: string, nth: number): string =>
  `break|${roundKey(round)}|${fold(label)}|${nth}`

/** The heats read so far, in the order of the file. */
export class HeatList {
  readonly heats: ListedHeat[] = []
  readonly #byKey = new Map<string, ListedHeat>()

  find(round: string, classText: string, number: number): ListedHeat | undefined {
    return this.#byKey.get(heatKeyOf(round, classText, number))
  }

  /** Lists a heat, unless it is listed already. */
  keep(heat: ListedHeat): void {
    if (this.#byKey.has(heat.key)) return
    this.#byKey.set(heat.key, heat)
    this.heats.push(heat)
  }

  addBreak(line: number, round: string, label: string, plannedStart: number | null): void {
    let nth = 1
    while (this.#byKey.has(breakKeyOf(round, label, nth))) nth++
    this.keep({
      line,
      key: breakKeyOf(round, label, nth),
      round,
      classText: '',
      number: 0,
      label: label.slice(0, 60),
      plannedStart,
      isBreak: true,
      entries: [],
    })
  }
}

export const newHeat = (
  line: number,
  round: string,
  name: HeatName,
  classText: string,
  plannedStart: number | null,
): ListedHeat => ({
  line,
  key: heatKeyOf(round, classText, name.number),
  round,
  classText,
  number: name.number,
  label: name.label ?? '',
  plannedStart,
  isBreak: false,
  entries: [],
})
