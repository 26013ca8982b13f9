import type { RowCells } from './columns'
import { DayWalk, type PlannedStart } from './day-walk'
import { fold } from '../board/fold-name'
import { HeatList, newHeat } from './heat-list'
import { readWhen, type When } from './planned-time'
import { readEntry } from './read-entry'
import type { TableRow } from '../tables/read-table'
import { repeatedEntry } from './repeated-entry'
import { badRow, doubtfulRow, isBad, type RowProblem } from '../tables/row-problem'
import type { ListedHeat, ReadingChoices } from './running-order'
import { isBreakText, readHeatName, type SectionLine } from './section-line'

/** Walks down the rows, keeping what merged cells and headings say for the rows below. */
export class RowReader {
  readonly #list = new HeatList()
  readonly #problems: RowProblem[] = []
  readonly #days: DayWalk
  readonly #choices: ReadingChoices
  readonly #starts = new Map<ListedHeat, PlannedStart>()
  #round: string
  #class: string
  /** The heat that rows without a heat of their own belong to, and whether a heading opened it. */
  #current: ListedHeat | null = null
  #underHeading = false
  /** A row that should have opened a heat and could not be read: rows below it that name no heat go with it. */
  #lostHeat: RowProblem | null = null

  constructor(choices: ReadingChoices) {
    this.#choices = choices
    this.#days = new DayWalk(choices)
    this.#round = choices.defaultRound
    this.#class = choices.defaultClass
  }

  finish(): { heats: ListedHeat[]; problems: RowProblem[] } {
    return { heats: this.#list.heats, problems: [...this.#problems].sort((a, b) => a.line - b.line) }
  }

  /** A row that can't be taken apart. Unless a heading stands above, nobody knows which heat it may have opened. */
  lost(problem: RowProblem): void {
    this.#problems.push(problem)
    if (this.#underHeading) return
    this.#lostHeat = problem
    this.#current = null
  }

  /** A line above the header that names a day or a round for everything below. */
  title(s: SectionLine): void {
    if (s.when) this.#days.setDay(s.when)
    if (s.kind === 'round' && s.round) this.#round = s.round
  }

  section(line: number, s: SectionLine, text: string): void {
    this.#lostHeat = null
    this.#current = null
    if (s.round) this.#round = s.round
    if (s.kind === 'day' || s.kind === 'round') {
      if (s.classText) this.#class = s.classText
      if (s.when) this.#days.setDay(s.when)
      return
    }
    if (s.unreadable)
      return this.#loseHeat(
        badRow(line, 'Planned start', s.unreadable, 'is not a time of day', 'Write it like 9:05 or 14:20.'),
      )
    const start = s.when?.clock ? this.#plannedAt(line, s.when, text) : null
    if (start === undefined) return
    if (s.when && !s.when.clock) this.#days.setDay(s.when)
    if (s.kind === 'break') return this.#list.addBreak(line, this.#round, s.label ?? text, start?.at ?? null)
    if (!s.heat) return
    const round = s.heat.round ?? this.#round
    const classText = s.classText ?? this.#class
    const twin = this.#list.find(round, classText, s.heat.number)
    if (twin)
      return this.#loseHeat(
        badRow(
          line,
          'Heat number',
          String(s.heat.number),
          `is listed twice: line ${twin.line} lists it too`,
          'Give one of them another number, round or class.',
        ),
      )
    this.#underHeading = true
    this.#current = this.#open(line, round, s.heat, classText, start)
    this.#list.keep(this.#current)
  }

  row(row: TableRow, cells: RowCells): void {
    if (this.#goesWithLostHeat(row, cells)) return
    if (cells.date) {
      const when = readWhen(cells.date, this.#choices.dateOrder, 'date')
      if (!when.ok) return this.#rejectRow(cells, { ...when.error, line: row.line, severity: 'bad' })
      this.#days.setDay(when.value)
    }
    if (cells.round) this.#round = /^\d+$/.test(cells.round) ? `Round ${cells.round}` : cells.round
    if (this.#takeBreak(row, cells)) return
    const heat = this.#heatOf(row, cells)
    if (!heat) return
    const before = this.#problems.length
    const entry = readEntry(row.line, cells, (p) => this.#problems.push(p))
    if (this.#problems.slice(before).some(isBad)) return
    if (!entry) {
      if (namesARacer(cells))
        this.#problems.push(
          badRow(row.line, 'Driver name', '', 'is missing', 'Enter the driver’s name, or delete the row.'),
        )
      else this.#list.keep(heat)
      return
    }
    const repeated = repeatedEntry(heat, entry)
    if (repeated) this.#problems.push(repeated)
    if (repeated && isBad(repeated)) return
    this.#list.keep(heat)
    heat.entries.push(entry)
  }

  #loseHeat(problem: RowProblem): void {
    this.#underHeading = false
    this.#lostHeat = problem
    this.#current = null
    this.#problems.push(problem)
  }

  /** A bad row that names its heat may have been the only one to: rows below with a blank heat would join the wrong one. */
  #rejectRow(cells: RowCells, problem: RowProblem): void {
    if (cells.heat) this.#loseHeat(problem)
    else this.#problems.push(problem)
  }

  #goesWithLostHeat(row: TableRow, cells: RowCells): boolean {
    if (!this.#lostHeat) return false
    if (cells.heat) {
      this.#lostHeat = null
      return false
    }
    this.#lostHeat.lastLine = row.lastLine
    return true
  }

  /** The heat that a row belongs to; null when the row was rejected. It is listed only once a good row names it. */
  #heatOf(row: TableRow, cells: RowCells): ListedHeat | null {
    const name = cells.heat ? readHeatName(cells.heat) : null
    if (cells.heat && !name) {
      this.#loseHeat(
        badRow(
          row.line,
          'Heat number',
          cells.heat,
          'is not a heat',
          'Enter a number such as 5, or a letter for a final.',
        ),
      )
      return null
    }
    if (!name) {
      if (this.#current) return this.#agreesOnStart(row, cells, this.#current) ? this.#current : null
      this.#problems.push(
        badRow(
          row.line,
          'Heat number',
          '',
          'is missing, and there is no heat above it',
          'Enter the heat’s number.',
        ),
      )
      return null
    }
    this.#underHeading = false
    if (cells.class) this.#class = cells.class
    else if (cells.class === '' && this.#class === '') {
      this.#loseHeat(
        badRow(row.line, 'Class', '', 'is missing, and there is no class above it', 'Enter the class.'),
      )
      return null
    }
    const round = name.round ?? this.#round
    const known = this.#list.find(round, this.#class, name.number) ?? this.#openedAs(round, name.number)
    if (known) {
      if (!this.#agreesOnStart(row, cells, known)) return null
      this.#current = known
      return known
    }
    const start = this.#startOf(row, cells)
    if (start === undefined) return null
    this.#current = this.#open(row.line, round, name, this.#class, start)
    return this.#current
  }

  /** The heat that the rows above opened without a good row so far. */
  #openedAs(round: string, number: number): ListedHeat | null {
    const key = newHeat(0, round, { number }, this.#class, null).key
    return this.#current?.key === key ? this.#current : null
  }

  #open(
    line: number,
    round: string,
    name: { number: number; label?: string },
    classText: string,
    start: PlannedStart | null,
  ): ListedHeat {
    const heat = newHeat(line, round, name, classText, start?.at ?? null)
    if (start) this.#starts.set(heat, start)
    return heat
  }

  /** The row's planned start; null when it gives none, undefined when it was rejected. */
  #startOf(row: TableRow, cells: RowCells): PlannedStart | null | undefined {
    if (!cells.start) return null
    const when = readWhen(cells.start, this.#choices.dateOrder)
    if (when.ok) return this.#plannedAt(row.line, when.value, cells.start, cells)
    this.#rejectRow(cells, { ...when.error, line: row.line, severity: 'bad' })
    return undefined
  }

  #plannedAt(line: number, when: When, shown: string, cells?: RowCells): PlannedStart | undefined {
    const at = this.#days.startAt(when, shown)
    if (!at.ok) {
      const otherDay = this.#days.refusedDay
      const problem: RowProblem = { ...at.error, line, severity: 'bad', ...(otherDay && { otherDay }) }
      if (cells) this.#rejectRow(cells, problem)
      else this.#loseHeat(problem)
      return undefined
    }
    if (at.value.backwards)
      this.#problems.push(
        doubtfulRow(
          line,
          'Planned start',
          shown,
          'is earlier than the heat above it',
          'Check the time, and AM or PM.',
        ),
      )
    return at.value
  }

  #agreesOnStart(row: TableRow, cells: RowCells, heat: ListedHeat): boolean {
    if (!cells.start) return true
    const known = this.#starts.get(heat)
    if (!known) {
      const start = this.#startOf(row, cells)
      if (start) {
        heat.plannedStart = start.at
        this.#starts.set(heat, start)
      }
      return start !== undefined
    }
    const when = readWhen(cells.start, this.#choices.dateOrder)
    if (!when.ok) {
      this.#rejectRow(cells, { ...when.error, line: row.line, severity: 'bad' })
      return false
    }
    if (known.saysTheSame(when.value)) return true
    this.#rejectRow(
      cells,
      badRow(
        row.line,
        'Planned start',
        cells.start,
        `differs from ${known.shown}, which line ${heat.line} gives for the same heat`,
        'Give the heat one start time, or give one of them its own number.',
      ),
    )
    return false
  }

  /** A row without a racer whose text names a break. */
  #takeBreak(row: TableRow, cells: RowCells): boolean {
    if (namesARacer(cells) || (cells.heat && readHeatName(cells.heat))) return false
    const label = [cells.heat, cells.class, cells.round, cells.driver].find((c) => c && isBreakText(fold(c)))
    if (!label) return false
    const start = this.#startOf(row, cells)
    if (start === undefined) return true
    this.#list.addBreak(row.line, this.#round, label, start?.at ?? null)
    this.#current = null
    return true
  }
}

const namesARacer = (cells: RowCells): boolean =>
  [cells.transponder, cells.carNumber, cells.familyName].some((c) => c !== undefined && c !== '') ||
  (cells.driver !== undefined && cells.driver !== '' && !isBreakText(fold(cells.driver)))
