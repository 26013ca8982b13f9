import { expect, test } from 'vitest'
import { KIT_SECTIONS } from '@/app/kit/kit-sections'
import { FIELD_HINTS, fieldHint } from '@/app/record/field-hints'
import { describeField, isShare } from '@/lib/board'

const numbers = KIT_SECTIONS.filter((s) => s.collection in FIELD_HINTS).flatMap((s) =>
  s.groups
    .flatMap((g) => g.fields)
    .filter((f) => describeField('kit', s.collection, f.field).kind === 'number')
    .map((f) => [s.collection, f.field] as const),
)

test('the kit’s forms are walked', () => expect(numbers.length).toBeGreaterThan(25))

test.each(numbers)(
  '%s.%s says a typical figure within its range, where to read it, and what is lost when blank',
  (collection, field) => {
    const hint = FIELD_HINTS[collection]?.[field]
    if (!hint) throw new Error('no hint')
    const face = describeField('kit', collection, field)
    const [, figure, unit] = /^([\d.]+) ?(.*)$/.exec(hint.typical) ?? []
    const typed = Number(figure) / (isShare(collection, field) ? 100 : 1)
    expect(typed).toBeGreaterThanOrEqual(face.min ?? -Infinity)
    expect(typed).toBeLessThanOrEqual(face.max ?? Infinity)
    expect(unit).toBe(isShare(collection, field) ? '%' : face.unit)
    expect(hint.where.length).toBeGreaterThan(10)
    expect(hint.blank.length).toBeGreaterThan(5)
    expect(fieldHint(collection, field)).toBe(`Such as ${hint.typical}. ${hint.where}. Blank: ${hint.blank}.`)
  },
)
