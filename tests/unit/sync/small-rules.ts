import { ok, refuse } from '@/lib/core/result'
import type { GuardRules } from '@/server/sync/guard-rules'

/**
 * Small rules of the tests' own. `cars`: a driver writes fields of cars whose `driver` they are, `grip` is for mechanics; `notes`: anybody
 * but guests; `people`: managers. Numbers in `weight` are 0 to 5000, `text` is text up to 40 characters.
 */
export const smallRules: GuardRules = {
  collections: (doc) => (doc === 'kit' ? ['people', 'cars'] : ['people', 'notes', 'cars']),
  parseKey: (key) => {
    const m = /^([A-Za-z0-9_.-]{1,60}):([A-Za-z]{1,20})$/.exec(key)
    return m ? { recordId: m[1]!, field: m[2]! } : null
  },
  checkField: (_doc, collection, field, value) => {
    if (value === undefined) return refuse(field, '', 'a field can’t be deleted', 'Empty it.')
    if (value === null) return ok(undefined)
    const fields: Record<string, (v: unknown) => boolean> = {
      weight: (v) => typeof v === 'number' && v >= 0 && v <= 5000,
      text: (v) => typeof v === 'string' && v.length <= 40,
      driver: (v) => typeof v === 'string',
      grip: (v) => typeof v === 'string',
      shape: (v) => typeof v === 'object',
    }
    const check = Object.hasOwn(fields, field) ? fields[field] : undefined
    if (!check) return refuse(`${collection}.${field}`, '', 'no such field', 'Reload.')
    return check(value) ? ok(undefined) : refuse(field, JSON.stringify(value), 'does not fit', 'Try another.')
  },
  mayWrite: (ctx, { doc, collection, recordId, field, after }) => {
    const no = (why: string) => refuse(field, String(after), why, 'Ask a manager.')
    if (ctx.role === 'guest') return no('a guest may not change it')
    if (ctx.role === 'manager') return ok(undefined)
    if (collection === 'people' || field === 'driver') return no('only a manager may')
    if (ctx.role === 'mechanic') return ok(undefined)
    if (field === 'grip') return no('only a mechanic may')
    const owner =
      ctx.read.field('kit', 'cars', recordId, 'driver') ?? ctx.read.field(doc, 'cars', recordId, 'driver')
    return collection === 'cars' && owner !== ctx.personId ? no('it is not your car') : ok(undefined)
  },
}
