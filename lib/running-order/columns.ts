import { fold, nameKey } from '../board/fold-name'
import { readWhen } from './planned-time'
import type { TableRow } from '../tables/read-table'

/** What a column of the file can hold. */
export const COLUMN_ROLES = [
  'ignore',
  'heat',
  'round',
  'class',
  'start',
  'date',
  'driver',
  'givenName',
  'familyName',
  'carNumber',
  'transponder',
  'grid',
] as const
export type ColumnRole = (typeof COLUMN_ROLES)[number]
export const COLUMN_ROLE_NAMES: Record<ColumnRole, string> = {
  ignore: 'Not used',
  heat: 'Heat number',
  round: 'Round',
  class: 'Class',
  start: 'Planned start',
  date: 'Date',
  driver: 'Driver name',
  givenName: 'Given name',
  familyName: 'Family name',
  carNumber: 'Car number',
  transponder: 'Transponder',
  grid: 'Grid position',
}

/** A row's cells under the roles of their columns. */
export type RowCells = Partial<Record<Exclude<ColumnRole, 'ignore'>, string>>

/** How the table is laid out: which lines are its header, and what each column holds. */
export interface ColumnLayout {
  /** Lines of the file, none when it has no header. Everything above them is title. */
  headerLines: number[]
  /** The header's text per column, of both lines when it is spread over two. */
  names: string[]
  roles: ColumnRole[]
}

/** Words as running orders print them, in the languages of meetings nearby. Common practice, no source. */
const WORDS: Partial<Record<ColumnRole, RegExp>> = {
  transponder: /\btransponders?\b|\bpts?\b|\btag\b|\bchip\b/,
  date: /^date$|^day$|^datum$|^tag$|^jour$|^race date$|^dag$/,
  start:
    /\bstart(?:s|ing)?(?: time| at)?$|\bstart\b(?!.*(?:pos|place|grid|n(?:r|o|umber)))|\btime\b|\bzeit\b|\buhrzeit\b|\btijd\b|\bheure\b|\bplanned\b|\bscheduled\b/,
  grid: /\bgrid\b|\bpos(?:ition)?\b|\bstart ?(?:pos|place|position|platz)\b|\bstartplatz\b/,
  givenName: /\b(?:first|given) ?names?\b|\bvorname\b|\bvoornaam\b|\bprenom\b/,
  familyName: /\b(?:last|family|sur) ?names?\b|\bsurname\b|\bnachname\b|\bachternaam\b|\bnom de famille\b/,
  carNumber:
    /\b(?:car|race|bib|racing) ?(?:n(?:o|r|um)?|number|nummer)\b|\bcar\b|\bstartnummer\b|\bstart ?n(?:r|o)\b|^(?:n(?:o|r)|number|#)$/,
  driver: /\bdrivers?\b|\bracers?\b|\bname\b|\bfahrer\b|\bpilote?\b|\brijder\b|\bentrant\b|\bcompetitor\b/,
  class: /\bclass\b|\bcategory\b|\bklasse\b|\bcategorie\b|\bclasse\b|\bdivision\b/,
  round: /^(?:round|rd|rnd|runde|ronde|manche|phase|session)(?: ?(?:n(?:o|r)|number))?$/,
  heat: /\bheats?\b|\bgroup\b|\bgruppe\b|\bgroep\b|\blauf\b|\bserie\b|\brace(?: ?(?:n(?:o|r)|number))?$/,
}
/** The order in which words are tried: the most telling first. */
const TRIED: ColumnRole[] = [
  'transponder',
  'givenName',
  'familyName',
  'grid',
  'date',
  'start',
  'round',
  'class',
  'heat',
  'carNumber',
  'driver',
]

/** The role that a header's text names; `ignore` when it names none. */
export function roleOfHeader(name: string): ColumnRole {
  const folded = name.trim() === '#' ? '#' : fold(name)
  if (folded === '') return 'ignore'
  return TRIED.find((role) => WORDS[role]?.test(folded)) ?? 'ignore'
}

const HEADER_WITHIN_ROWS = 30

/** Finds the header (one line, or two of which the upper one has merged cells) and guesses every column. */
export function guessLayout(rows: readonly TableRow[]): ColumnLayout {
  let best: { score: number; names: string[]; rows: TableRow[] } | null = null
  for (const [i, row] of rows.slice(0, HEADER_WITHIN_ROWS).entries()) {
    if (!looksLikeHeader(row)) continue
    const alone = distinctRoles(row.cells)
    if (alone >= 2 && alone > (best?.score ?? 0)) best = { score: alone, names: row.cells, rows: [row] }
    const below = rows[i + 1]
    if (!below || !looksLikeHeader(below) || row.cells.every((c) => c === '')) continue
    const merged = mergeHeader(row.cells, below.cells)
    const both = distinctRoles(merged)
    const lower = distinctRoles(below.cells)
    // With equal scores, a second line that names columns itself belongs to the header.
    const least = Math.max(best?.score ?? 0, lower) + (lower >= 2 && lower < both ? 0 : 1)
    if (both >= 2 && both >= least) best = { score: both, names: merged, rows: [row, below] }
  }
  const width = Math.max(0, ...rows.map((r) => r.cells.length))
  if (!best) {
    const names = Array.from({ length: width }, (_, i) => `Column ${i + 1}`)
    return {
      headerLines: [],
      names,
      roles: rolesByContent(
        rows,
        names.map(() => 'ignore'),
      ),
    }
  }
  const last = best.rows.at(-1)
  const body = last ? rows.filter((r) => r.line > last.line) : rows
  const names = Array.from({ length: Math.max(width, best.names.length) }, (_, i) => best.names[i] ?? '')
  return {
    headerLines: best.rows.flatMap((r) => range(r.line, r.lastLine)),
    names,
    roles: rolesByContent(body, uniqueRoles(names)),
  }
}

/** The layout when a person says which lines are the header. */
export function layoutFor(rows: readonly TableRow[], headerLines: number[]): ColumnLayout {
  const header = rows.filter((r) => headerLines.includes(r.line))
  const last = header.at(-1)
  const width = Math.max(0, ...rows.map((r) => r.cells.length))
  const [upper, lower] = header
  const merged = upper && lower ? mergeHeader(upper.cells, lower.cells) : (upper?.cells ?? [])
  const names = Array.from({ length: width }, (_, i) => merged[i] ?? (last ? '' : `Column ${i + 1}`))
  const body = last ? rows.filter((r) => r.line > last.line) : rows
  return {
    headerLines: header.flatMap((r) => range(r.line, r.lastLine)),
    names,
    roles: rolesByContent(body, uniqueRoles(names)),
  }
}

const range = (from: number, to: number) => Array.from({ length: to - from + 1 }, (_, i) => from + i)

/** A header names things: it holds neither times nor long numbers. */
const looksLikeHeader = (row: TableRow): boolean =>
  row.cells.filter((c) => c !== '').length >= 2 && row.cells.every((c) => !/\d{3,}|\d[:.]\d\d/.test(c))

/** The upper line's cells reach to the right until the next one: that is what merging leaves behind in a text file. */
function mergeHeader(upper: readonly string[], lower: readonly string[]): string[] {
  let over = ''
  return Array.from({ length: Math.max(upper.length, lower.length) }, (_, i) => {
    if (upper[i]) over = upper[i] ?? ''
    const under = lower[i] ?? ''
    return under === '' ? over : `${over} ${under}`.trim()
  })
}

const distinctRoles = (names: readonly string[]): number =>
  new Set(names.map(roleOfHeader).filter((r) => r !== 'ignore')).size

/** No role twice: the first column that names it keeps it. */
function uniqueRoles(names: readonly string[]): ColumnRole[] {
  const taken = new Set<ColumnRole>()
  return names.map((name) => {
    const role = roleOfHeader(name)
    if (role === 'ignore' || taken.has(role)) return 'ignore'
    taken.add(role)
    return role
  })
}

/** Fills what the header leaves open from what stands in the columns. */
function rolesByContent(body: readonly TableRow[], given: ColumnRole[]): ColumnRole[] {
  const roles = [...given]
  const sample = body.slice(0, 200)
  const share = (column: number, test: (cell: string) => boolean) => {
    const cells = sample.map((r) => r.cells[column] ?? '').filter((c) => c !== '')
    return cells.length === 0 ? 0 : cells.filter(test).length / cells.length
  }
  const claim = (role: ColumnRole, test: (cell: string) => boolean, least: number) => {
    if (roles.includes(role)) return
    const free = roles.map((r, i) => ({ i, share: r === 'ignore' ? share(i, test) : 0 }))
    const best = free.sort((a, b) => b.share - a.share)[0]
    if (best && best.share >= least) roles[best.i] = role
  }
  claim('transponder', (c) => /^\d{5,8}$/.test(c), 0.8)
  claim('start', (c) => /[:.]/.test(c) && readWhen(c).ok, 0.8)
  if (!roles.includes('givenName') && !roles.includes('familyName'))
    claim('driver', (c) => /^[\p{L}][\p{L} .,'’-]+$/u.test(c) && nameKey(c).includes(' '), 0.8)
  return roles
}
