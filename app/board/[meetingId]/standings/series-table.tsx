import { choiceWord } from '@/app/words/choice-words'
import type { ClassDriver, SeriesStandings } from '@/lib/card'
import type { SeriesRow } from '@/lib/standings'
import { lapsText, scoreNote, worthText } from './score-text'

/** One order with what each round gave: what counts stands out, what is dropped is struck. */
export function SeriesTable({
  label,
  standings: { series, table },
  drivers,
  borders,
  movesUp = [],
}: {
  label: string
  standings: SeriesStandings
  drivers: ReadonlyMap<string, ClassDriver>
  /** Lines between rows: after so many drivers, what begins there. */
  borders?: ReadonlyMap<number, string>
  movesUp?: readonly string[]
}) {
  const { rules, rounds } = series
  const name = (id: string) => drivers.get(id)?.name ?? 'Somebody'
  return (
    <div className="standings-scroll" role="region" aria-label={label} tabIndex={0}>
      <table className="standings-table">
        <thead>
          <tr>
            <th scope="col">
              <abbr title="Place">Pl.</abbr>
            </th>
            <th scope="col">Driver</th>
            {rounds.map((r) => (
              <th scope="col" key={r.id} className="is-number" title={r.name}>
                {shortName(r.name)}
                {!r.isComplete && r.results.size > 0 && <small className="standings-now"> under way</small>}
              </th>
            ))}
            <th scope="col" className="is-number">
              {rules.score === 'laps-and-time' ? 'Sum' : 'Points'}
            </th>
          </tr>
        </thead>
        <tbody>
          {table.map((row, i) => (
            <Rows
              key={row.driver}
              row={row}
              border={borders?.get(i)}
              columns={rounds.length + 3}
              driver={drivers.get(row.driver)}
              rules={rules}
              why={whyText(row, name)}
              isUp={movesUp.includes(row.driver)}
            />
          ))}
        </tbody>
      </table>
    </div>
  )
}

function Rows({
  row,
  border,
  columns,
  driver,
  rules,
  why,
  isUp,
}: {
  row: SeriesRow
  border: string | undefined
  columns: number
  driver: ClassDriver | undefined
  rules: SeriesStandings['series']['rules']
  why: string
  isUp: boolean
}) {
  const isOurs = Boolean(driver?.carId)
  return (
    <>
      {border && (
        <tr className="standings-border">
          <th colSpan={columns} scope="colgroup">
            {border}
          </th>
        </tr>
      )}
      <tr data-ours={isOurs || undefined}>
        <td className="num">
          {row.place}
          {row.levelWith.length > 0 && <span aria-label=", shared">=</span>}
        </td>
        <th scope="row">
          {driver?.name ?? 'Somebody'}
          {isOurs && <span className="visually-hidden"> (ours)</span>}
          {isUp && <small className="standings-why">moves up</small>}
          {why && <small className="standings-why">{why}</small>}
        </th>
        {row.rounds.map((score, at) => {
          const isWaiting = score !== null && !row.eligible.includes(at)
          const isDropped = score !== null && !isWaiting && !row.counted.includes(at)
          const note = scoreNote(score, isDropped, isWaiting)
          return (
            <td key={at} className="num is-number" data-dropped={isDropped || isWaiting || undefined}>
              {score === null ? (
                '·'
              ) : isDropped ? (
                <s>{worthText(rules, score)}</s>
              ) : isWaiting ? (
                worthText(rules, score)
              ) : (
                <b>{worthText(rules, score)}</b>
              )}
              {score && rules.score !== 'laps-and-time' && score.laps > 0 && (
                <small className="standings-laps">{lapsText(score)}</small>
              )}
              {note && <span className="visually-hidden">, {note}</span>}
            </td>
          )
        })}
        <td className="num is-number standings-sum">
          {row.counted.length > 0 ? worthText(rules, row) : '–'}
        </td>
      </tr>
    </>
  )
}

const whyText = (row: SeriesRow, name: (id: string) => string): string =>
  row.parted ? `ahead of ${name(row.parted.from)} by: ${choiceWord(row.parted.rule).toLowerCase()}` : ''

/** `Qualifying 2` is `Q2`, `Leg 1` is `L1`: a phone has no room for more. */
const shortName = (name: string): string => {
  const found = /^(\p{L})\p{L}*\s+(\d+)$/u.exec(name)
  return found ? `${found[1]?.toUpperCase()}${found[2]}` : name
}
