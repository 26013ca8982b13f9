import { describe, expect, it } from 'vitest'
import { mayReload } from '@/app/ui/shell/outdated'

describe('[S21] a page of another version than the board’s', () => {
  const stored = { state: 'stored' } as const
  const build = { board: 'another build', understands: true }
  const foreign = { board: 'another protocol', understands: false }

  it('sends what is unsent before it loads itself anew', () => {
    expect(mayReload({ outdated: build, store: stored, pending: 3, online: true })).toBe(false)
    expect(mayReload({ outdated: build, store: stored, pending: 0, online: true })).toBe(true)
  })
  it('whose edits may never be taken loads itself anew when the device has them', () => {
    expect(mayReload({ outdated: foreign, store: stored, pending: 3, online: true })).toBe(true)
    expect(mayReload({ outdated: foreign, store: { state: 'storing' }, pending: 3, online: true })).toBe(
      false,
    )
    expect(mayReload({ outdated: foreign, store: { state: 'full' }, pending: 1, online: true })).toBe(false)
    const none = { state: 'missing', reason: '' } as const
    expect(mayReload({ outdated: foreign, store: none, pending: 1, online: true })).toBe(false)
    expect(mayReload({ outdated: foreign, store: none, pending: 0, online: true })).toBe(true)
  })
  it('stays without network, when it is not old, and once it is right', () => {
    expect(mayReload({ outdated: build, store: stored, pending: 0, online: false })).toBe(false)
    expect(mayReload({ outdated: null, store: stored, pending: 0, online: true })).toBe(false)
  })
})
