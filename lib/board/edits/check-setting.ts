import { settingText } from '../../core/setting-text'
import { ok, refuse, type Result } from '../../core/result'
import type { Setting } from '../field'
import type { CardParameter } from '../parameters'

/** Is this a value the parameter can take? Ranges and steps come from the parameter (a team's own, for speed controls). */
export function checkSetting(p: CardParameter, value: Setting): Result<void> {
  const range =
    p.min !== undefined && p.max !== undefined ? `${settingText(p.min)} to ${settingText(p.max, p.unit)}` : ''
  if (p.kind === 'text')
    return typeof value === 'string' && value.length <= 120
      ? ok(undefined)
      : refuse(p.label, value, 'is not a text of up to 120 characters', 'Shorten it.')
  if (typeof value !== 'number' || !Number.isFinite(value))
    return refuse(p.label, value, 'is not a number', range ? `Enter ${range}.` : 'Enter a number.')
  if ((p.min !== undefined && value < p.min) || (p.max !== undefined && value > p.max))
    return refuse(p.label, value, 'is out of range', `Enter ${range}.`)
  if (p.step && p.min !== undefined) {
    const steps = (value - p.min) / p.step
    // Decimal steps are not exact in binary: a millionth of a step is rounding, not another value.
    if (Math.abs(steps - Math.round(steps)) > 1e-6)
      return refuse(
        p.label,
        value,
        `is not a step of ${settingText(p.step, p.unit)}`,
        `Enter ${nearest(p, steps)}.`,
      )
  }
  return ok(undefined)
}

function nearest(p: CardParameter, steps: number): string {
  const at = (n: number) => Number(((p.min ?? 0) + n * (p.step ?? 1)).toPrecision(9))
  return `${at(Math.floor(steps))} or ${at(Math.ceil(steps))}`
}
