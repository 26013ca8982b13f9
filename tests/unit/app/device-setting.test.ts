import { afterEach, describe, expect, it, vi } from 'vitest'
import { deviceSetting } from '@/app/ui/device-setting'

afterEach(() => vi.unstubAllGlobals())

const parse = (kept: string | null) => (kept === 'on' || kept === 'off' ? kept : null)
const storage = (over: Partial<Storage> = {}) => {
  const kept = new Map<string, string>()
  vi.stubGlobal('localStorage', {
    getItem: (k: string) => kept.get(k) ?? null,
    setItem: (k: string, v: string) => void kept.set(k, v),
    removeItem: (k: string) => void kept.delete(k),
    ...over,
  })
  return kept
}

describe('what is chosen once per device', () => {
  it('is kept, and read by the next page', () => {
    const kept = storage()
    vi.stubGlobal('window', new EventTarget())
    const setting = deviceSetting('calls', parse)
    const told = vi.fn()
    const stop = setting.watch(told)
    setting.choose('on')
    expect([setting.read(), kept.get('calls'), told.mock.calls.length]).toEqual(['on', 'on', 1])
    expect(deviceSetting('calls', parse).read()).toBe('on')
    stop()
    setting.choose('off')
    expect(told.mock.calls.length).toBe(1)
  })

  it('lasts as long as the page where the storage is full, or forbidden altogether', () => {
    const no = () => {
      throw new DOMException('no', 'QuotaExceededError')
    }
    storage({ setItem: no })
    const full = deviceSetting('calls', parse)
    full.choose('on')
    expect(full.read()).toBe('on')
    storage({ setItem: no, getItem: no })
    const forbidden = deviceSetting('calls', parse)
    expect(forbidden.read()).toBeNull()
    forbidden.choose('off')
    expect(forbidden.read()).toBe('off')
  })

  it('is taken over from another tab', () => {
    storage()
    const window = new EventTarget()
    vi.stubGlobal('window', window)
    const setting = deviceSetting('calls', parse)
    setting.choose('on')
    const stop = setting.watch(() => undefined)
    const say = (key: string, newValue: string) =>
      window.dispatchEvent(Object.assign(new Event('storage'), { key, newValue }))
    say('other', 'off')
    expect(setting.read()).toBe('on')
    say('calls', 'off')
    expect(setting.read()).toBe('off')
    stop()
  })
})
