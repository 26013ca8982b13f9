import type { LapBands, LapPath, TraceMark } from '@/lib/card'
import { placeLabels, type Box } from '@/app/ui/place-labels'
import { textWidth, type Room } from '@/app/ui/use-room'

/** Crosswise strokes over each band, px on and off: the fewer, the more there is of what is shown. The last has none. */
export const HATCHES = ['2 3', '2 6', '2 11', '2 20', null] as const

export interface LapMapProps {
  path: LapPath
  marks: readonly TraceMark[]
  /** In bands, from `lapBands`. */
  stretches: LapBands['stretches'][number]
  room: Room
  /** No taller than this, px. */
  most: number
  /** A place on the lap that somebody points at, m. */
  cursorM?: number | null
  said: ReadonlyMap<number, string>
}

const r = (n: number) => n.toFixed(1)

/** The lap from above, in bands by color and hatch, with names where there is room, and where the car brakes and turbo fires. */
export function LapMap({ path, marks, stretches, room, most, cursorM = null, said }: LapMapProps) {
  const { width, em } = room
  const pad = 3.2 * em
  const { box } = path
  const scale = Math.max(
    0,
    Math.min((width - 2 * pad) / Math.max(box.width, 1), (most - 2 * pad) / Math.max(box.height, 1)),
  )
  if (width === 0 || scale === 0) return null
  const height = box.height * scale + 2 * pad
  const shift = (width - box.width * scale) / 2
  const px = (p: { x: number; y: number }) => ({
    x: shift + (p.x - box.x) * scale,
    y: pad + (p.y - box.y) * scale,
  })
  const line = (fromM: number, toM: number) =>
    path
      .between(fromM, toM)
      .map((p, i) => {
        const { x, y } = px(p)
        return `${i === 0 ? 'M' : 'L'}${r(x)} ${r(y)}`
      })
      .join('')
  const road = 0.85 * em
  const whole = line(0, path.lengthM)
  const labels = namesOf({ path, marks, px, room, road, height })
  const crossing = (atM: number, half: number) => {
    const p = path.at(atM)
    const { x, y } = px(p)
    return `M${r(x - p.dy * half)} ${r(y + p.dx * half)}L${r(x + p.dy * half)} ${r(y - p.dx * half)}`
  }
  const start = path.at(0)
  const s = px(start)
  const tip = 0.9 * em
  return (
    <svg className="plot lap-map" width={width} height={r(height)} aria-hidden="true" fontSize={em}>
      <path className="lap-edge" d={whole} strokeWidth={r(road + 3)} />
      {stretches.map((b) => {
        const d = line(b.fromM, b.toM)
        const hatch = HATCHES[b.band]
        return (
          <g key={b.fromM} data-band={b.band}>
            <path className="lap-band" d={d} strokeWidth={r(road)} />
            {hatch && <path className="plot-hatch" d={d} strokeWidth={r(road)} strokeDasharray={hatch} />}
          </g>
        )
      })}
      {marks.map((m, i) => (
        <g key={m.atM}>
          {said.has(i) && <Said at={px(path.at(m.atM + m.lengthM / 2))} size={0.6 * em} />}
          {m.brakeAtM !== null && (
            <path className="lap-brake" data-mark="braking" d={crossing(m.brakeAtM, 1.05 * em)} />
          )}
          {m.turboAtM !== null && <Diamond at={px(path.at(m.turboAtM))} size={0.55 * em} />}
        </g>
      ))}
      <path
        className="lap-start"
        d={`M${r(s.x + start.dx * tip)} ${r(s.y + start.dy * tip)}L${r(s.x - start.dx * tip * 0.6 - start.dy * tip)} ${r(
          s.y - start.dy * tip * 0.6 + start.dx * tip,
        )}L${r(s.x - start.dx * tip * 0.6 + start.dy * tip)} ${r(s.y - start.dy * tip * 0.6 - start.dx * tip)}Z`}
      />
      {labels.map(({ text, x, y }) => (
        <text key={text} x={r(x)} y={r(y)} dy="0.35em" textAnchor="middle" className="lap-name">
          {text}
        </text>
      ))}
      {cursorM !== null && (
        <circle
          className="lap-cursor"
          cx={r(px(path.at(cursorM)).x)}
          cy={r(px(path.at(cursorM)).y)}
          r={r(0.8 * em)}
        />
      )}
    </svg>
  )
}

export const Diamond = ({ at: { x, y }, size }: { at: { x: number; y: number }; size: number }) => (
  <path
    className="lap-turbo"
    data-mark="turbo"
    d={`M${r(x)} ${r(y - size)}L${r(x + size)} ${r(y)}L${r(x)} ${r(y + size)}L${r(x - size)} ${r(y)}Z`}
  />
)

/** A square: somebody said something of this piece. */
export const Said = ({ at: { x, y }, size }: { at: { x: number; y: number }; size: number }) => (
  <path
    className="lap-turbo"
    data-mark="said"
    d={`M${r(x - size)} ${r(y - size)}H${r(x + size)}V${r(y + size)}H${r(x - size)}Z`}
  />
)

/** Names beside their pieces, the longest pieces first; where a name has no room its number may have. */
function namesOf({
  path,
  marks,
  px,
  room: { width, em },
  road,
  height,
}: {
  path: LapPath
  marks: readonly TraceMark[]
  px: (p: { x: number; y: number }) => { x: number; y: number }
  room: Room
  road: number
  height: number
}): { text: string; x: number; y: number }[] {
  const center = px({ x: path.box.x + path.box.width / 2, y: path.box.y + path.box.height / 2 })
  const wishes = [...marks.entries()]
    .sort(([, a], [, b]) => b.lengthM - a.lengthM)
    .map(([i, m]) => {
      const p = path.at(m.atM + m.lengthM / 2)
      const at = px(p)
      // Away from the middle of the picture there is most room.
      const side = (at.x - center.x) * -p.dy + (at.y - center.y) * p.dx >= 0 ? 1 : -1
      const text = `${i + 1} ${m.name}`
      return {
        text,
        ...at,
        outX: -p.dy * side,
        outY: p.dx * side,
        width: textWidth(text, em),
        height: 1.3 * em,
        of: i,
      }
    })
  // Straights have points at their ends alone: a label must not lie across their middle either.
  const points = marks.flatMap((m, of) => {
    const [from, to] = [px(path.at(m.atM)), px(path.at(m.atM + m.lengthM))]
    const n = Math.max(2, Math.ceil((2 * Math.hypot(to.x - from.x, to.y - from.y)) / em) + 4)
    return Array.from({ length: n }, (_, k) => ({ ...px(path.at(m.atM + (m.lengthM * k) / n)), of }))
  })
  const around = { within: { x: 0, y: 0, width, height }, points, clear: road / 2 + 2 }
  const full = placeLabels(wishes, around)
  const short = wishes.map((w) => ({ ...w, text: w.text.split(' ')[0] ?? '' }))
  const left = short.filter((_, i) => !full[i]).map((w) => ({ ...w, width: textWidth(w.text, em) }))
  const numbers = placeLabels(left, { ...around, taken: full.flatMap((b) => b ?? []) })
  const named = (all: readonly { text: string }[], boxes: readonly (Box | null)[]) =>
    all.flatMap(({ text }, i) => {
      const b = boxes[i]
      return b ? [{ text, x: b.x + b.width / 2, y: b.y + b.height / 2 }] : []
    })
  return [...named(wishes, full), ...named(left, numbers)]
}
