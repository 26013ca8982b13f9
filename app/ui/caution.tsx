import type { ReactNode } from 'react'

/** Where hands get hurt. Texts are common practice in the trade, no source; rules, makers and local codes come first. */
const CAUTIONS = {
  pack: {
    title: 'Lithium pack',
    text: 'Charge on a fireproof surface, never unattended, never a swollen or dented pack. Stay within the pack maker’s limits and the event’s charging rules.',
  },
  can: {
    title: 'Hot can',
    text: 'Motor and speed control can burn you after a run. Let them cool before you unscrew anything; lift by the chassis.',
  },
  wheels: {
    title: 'Spinning wheels',
    text: 'Car on a stand, wheels off the ground, fingers, hair and sleeves clear, transmitter on first. Move the pinion off the spur where the maker says so.',
  },
  motor: {
    title: 'Spinning motor',
    text: 'Clamp it, pinion off, fingers, hair and sleeves clear, goggles on. Short runs only: without load it turns fastest and heats. Keep to the makers’ limits.',
  },
  end: 'The event’s rules, the makers’ instructions and local codes come before anything this board says.',
} as const

export type CautionKind = Exclude<keyof typeof CAUTIONS, 'end'>

export function Caution({ kind, children }: { kind: CautionKind; children?: ReactNode }) {
  const { title, text } = CAUTIONS[kind]
  return (
    <div className="caution" role="note" aria-label={`Caution: ${title}`}>
      <div className="caution-edge" aria-hidden="true" />
      <div>
        <b>Caution, {title.toLowerCase()}.</b> {children ?? text}{' '}
        <span className="small">{CAUTIONS.end}</span>
      </div>
    </div>
  )
}

/** A caution in the team's own words, as checklists and follow-up rules carry them. */
export function CautionText({ children }: { children: ReactNode }) {
  return (
    <div className="caution" role="note" aria-label="Caution">
      <div className="caution-edge" aria-hidden="true" />
      <div>
        <b>Caution.</b> {children}
      </div>
    </div>
  )
}
