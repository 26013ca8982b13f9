import { restVoltage, weightMargin, z90 } from '../../setup-math'
import { POUCH_REST_VOLTAGE } from './pouch-rest-voltage'
import { figure, fixed, type Projection } from './projection-figure'
import type { ProjectionBasis } from './projections-basis'
import type { InputId, InputValues } from './projections-inputs'

/** Margins against the class's rules, as they were entered for this meeting. */
export function ruleProjections(basis: ProjectionBasis, v: InputValues): Projection[] {
  const { limits } = basis
  const out: Projection[] = []
  const source = (id: InputId) => basis.inputs.find((i) => i.id === id)
  const mass = source('massG')
  if (limits.minimumWeightG && mass) {
    const margin =
      1000 * weightMargin({ massKg: mass.value / 1000, minimumKg: limits.minimumWeightG / 1000 }).marginKg
    const spread = { plusMinus: z90 * mass.sd, rests: [{ id: mass.id, share: 1 }] }
    out.push(
      figure({
        id: 'weight',
        group: 'rules',
        label: 'Weight over the minimum',
        value: margin,
        digits: 0,
        unit: 'g',
        spread,
        alarm: margin - spread.plusMinus < 0,
        detail: `${fixed(mass.value, 0)} g against ${limits.minimumWeightG} g${margin < 0 ? ': too light, add ballast' : margin < spread.plusMinus ? ': within the scale’s error' : ''}.`,
      }),
    )
  }
  const soc = source('stateOfChargePercent')
  if (limits.voltageLimitV && soc && v.cells) {
    const volts = v.cells * restVoltage(POUCH_REST_VOLTAGE, soc.value / 100)
    const margin = limits.voltageLimitV - volts
    out.push(
      figure({
        id: 'voltage',
        group: 'rules',
        label: 'Voltage under the limit',
        value: margin,
        digits: 2,
        unit: 'V',
        spread: { plusMinus: 0.02, rests: [{ id: 'stateOfChargePercent', share: 1 }] },
        alarm: margin < -0.0005,
        caution: 'pack',
        detail: `${fixed(volts, 2)} V at the start against ${fixed(limits.voltageLimitV, 2)} V, tolerance included; meters differ by about 0.02 V.`,
      }),
    )
  }
  const dynamic = (v.turboDeg ?? 0) > 0 || (v.boostDeg ?? 0) > 0
  if (limits.dynamicTimingAllowed === false)
    out.push(
      figure({
        id: 'timing',
        group: 'rules',
        label: 'Dynamic timing',
        value: dynamic ? 1 : 0,
        text: dynamic ? 'on' : 'off',
        digits: 0,
        unit: '',
        alarm: dynamic,
        detail: dynamic
          ? `The class does not allow boost or turbo; the card has ${[v.boostDeg && `boost ${v.boostDeg}°`, v.turboDeg && `turbo ${v.turboDeg}°`].filter(Boolean).join(' and ')}.`
          : 'The class does not allow boost or turbo, and the card has neither.',
      }),
    )
  if (limits.cells && v.cells && limits.cells !== v.cells)
    out.push(
      figure({
        id: 'cells',
        group: 'rules',
        label: 'Cells',
        value: v.cells,
        digits: 0,
        unit: '',
        alarm: true,
        detail: `The pack has ${v.cells} cells, the class runs ${limits.cells}.`,
      }),
    )
  return out
}
