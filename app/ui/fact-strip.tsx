import type { Fact, FactName } from '@/lib/card'

export const FACT_WORDS: Record<FactName, string> = {
  assigned: 'assigned',
  fitted: 'fitted',
  powered: 'pack in',
  shod: 'tires on',
  checked: 'checked',
  accepted: 'accepted',
}
const STATE_WORDS = { yes: 'yes', no: 'not yet', void: 'changed since' } as const

/** Our own mark: filled is true, hollow is not yet, struck was true until something changed. Drawn as a shape, so that it prints. */
export function FactMark({ state }: { state: Fact['state'] }) {
  return (
    <svg className="fact-mark" viewBox="0 0 24 12" preserveAspectRatio="none" aria-hidden="true">
      <rect
        x="1"
        y="1"
        width="22"
        height="10"
        fill={state === 'yes' ? 'currentColor' : 'none'}
        stroke="currentColor"
        strokeWidth="2"
        vectorEffect="non-scaling-stroke"
      />
      {state === 'void' && (
        <path
          d="M1 11 L9 1 M8 11 L16 1 M15 11 L23 1"
          stroke="currentColor"
          strokeWidth="2"
          vectorEffect="non-scaling-stroke"
        />
      )}
    </svg>
  )
}

export interface FactStripProps {
  facts: readonly Fact[]
  /** `row`: marks alone, for tables; words stay for screen readers. */
  size?: 'full' | 'row'
}

/** The six facts, always in the same order. */
export function FactStrip({ facts, size = 'full' }: FactStripProps) {
  const label = `Readiness: ${facts.filter((f) => f.state === 'yes').length} of ${facts.length}`
  return (
    <ul className={size === 'full' ? 'facts' : 'facts-inline'} aria-label={label}>
      {facts.map((f) => (
        <li key={f.fact} data-state={f.state}>
          <FactMark state={f.state} />
          <span className={size === 'row' ? 'visually-hidden' : undefined}>{FACT_WORDS[f.fact]}</span>
          <span className="visually-hidden">: {STATE_WORDS[f.state]}</span>
        </li>
      ))}
    </ul>
  )
}
