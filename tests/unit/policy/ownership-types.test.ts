import { expect, test } from 'vitest'
import { flag, stamped, text } from '@/lib/board'
import type { PolicyFor } from '@/lib/board'
import { z } from 'zod'

const plain = {
  things: { label: 'Thing', fields: { note: text('Note'), done: stamped('Done', z.boolean()) } },
} as const
const _owned = { things: { ...plain.things, owner: { car: 'id' } } } as const
const _person = { things: { ...plain.things, owner: { person: 'id' } } } as const
const _under = {
  things: {
    label: 'Thing',
    under: { note: ['done'] },
    fields: { ...plain.things.fields, removed: flag('Removed') },
  },
} as const

test('[S4] a scope that the collection cannot hold does not compile', () => {
  const policies = [
    { things: { default: { driver: 'own-car' } } } satisfies PolicyFor<typeof _owned>,
    { things: { default: { driver: 'self' } } } satisfies PolicyFor<typeof _person>,
    // @ts-expect-error no owner is declared
    { things: { default: { driver: 'own-car' } } } satisfies PolicyFor<typeof plain>,
    // @ts-expect-error no owner is declared
    { things: { default: {}, fields: { note: { driver: 'own-car' } } } } satisfies PolicyFor<typeof plain>,
    // @ts-expect-error the records are no cars
    { things: { default: { driver: 'own-car' } } } satisfies PolicyFor<typeof _person>,
    // @ts-expect-error the records are no people
    { things: { default: { driver: 'self' } } } satisfies PolicyFor<typeof _owned>,
    // @ts-expect-error a note is neither signed nor under a signature
    { things: { default: {}, fields: { note: { driver: 'own-sign' } } } } satisfies PolicyFor<typeof plain>,
    // @ts-expect-error a note is not signed
    { things: { default: {}, fields: { note: { driver: 'once' } } } } satisfies PolicyFor<typeof _owned>,
    // @ts-expect-error a field under a signature must not fall to the default
    { things: { default: { driver: 'any' } } } satisfies PolicyFor<typeof _under>,
    { things: { default: {}, fields: { note: { driver: 'own-sign' } } } } satisfies PolicyFor<typeof _under>,
    // @ts-expect-error no such rule
    { things: { default: {}, rules: { note: ['as-you-like-it'] } } } satisfies PolicyFor<typeof plain>,
  ]
  // What is proven here the compiler has proven; each line above is a policy all the same.
  expect(policies.every((p) => 'default' in p.things)).toBe(true)
})
