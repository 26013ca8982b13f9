import { expect, test } from 'vitest'
import { canonicalJson } from '@/lib/core/json'

test('equal values give equal text whatever the key order', () => {
  expect(canonicalJson({ b: 1, a: [{ d: 2, c: undefined }] })).toBe('{"a":[{"d":2}],"b":1}')
  expect(canonicalJson({ a: 1, b: 2 })).toBe(canonicalJson({ b: 2, a: 1 }))
})
