import { describe, expect, it } from 'vitest'
import { loadAhead } from '@/app/ui/load-ahead'

describe('a part of the page that is loaded ahead', () => {
  it('comes once the network is back, for everybody who asked meanwhile, and is loaded once', async () => {
    let tries = 0
    const get = loadAhead(() => {
      tries++
      return tries < 4 ? Promise.reject(new Error('no network')) : Promise.resolve('part')
    }, 1)
    expect(await Promise.all([get(), get()])).toEqual(['part', 'part'])
    expect(await get()).toBe('part')
    expect(tries).toBe(4)
  })

  it('is said to be late from the second failure on, and no longer once it is there', async () => {
    let tries = 0
    const part = loadAhead(() => {
      tries++
      return tries < 4 ? Promise.reject(new Error('no network')) : Promise.resolve('part')
    }, 1)
    const seen: boolean[] = []
    const stop = part.watch(() => seen.push(part.isLate()))
    expect(part.isLate()).toBe(false)
    await part()
    expect(seen).toEqual([false, true, true, false])
    stop()
  })
})
