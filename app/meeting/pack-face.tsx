import type { ReactNode } from 'react'
import type { Pack } from '@/lib/board'
import { PACK_STATE_WORDS } from '@/lib/card'
import { agoText } from '@/app/ui'

/** A pack in a list: label, state, and what speaks against it. */
export function PackFace({
  pack,
  now,
  chosen,
  children,
}: {
  pack: Pack
  now: number
  chosen?: boolean
  children?: ReactNode
}) {
  const state = pack.state?.v ? PACK_STATE_WORDS[pack.state.v] : 'no state'
  const facts = [
    `${state}${pack.state ? `, ${agoText(pack.state.at, now)}` : ''}`,
    pack.restVoltageV?.v != null ? `${pack.restVoltageV.v.toFixed(2)} V` : null,
    pack.capacityMah ? `${pack.capacityMah} mAh` : null,
    pack.resistanceMilliohm ? `${pack.resistanceMilliohm} mΩ` : null,
    pack.health && pack.health !== 'good' ? pack.health : null,
  ]
  return (
    <span className="choose-face">
      <span className="num choose-label">{pack.label ?? '?'}</span>
      <span className="small text-left">
        {chosen && <b>assigned now · </b>}
        {facts.filter(Boolean).join(' · ')}
        {children && <span className="choose-against">{children}</span>}
      </span>
    </span>
  )
}
