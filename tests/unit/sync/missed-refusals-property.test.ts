import fc from '../../support/fast-check'
import { expect, it } from 'vitest'
import { MemoryStore } from '@/server/storage/memory-store'
import { storedBoard, syncDesk } from './sync-desk'

/**
 * A phone on a bad line writes what it may not, each time under another key, while lines break unheard, frames stay unread, the disk fills
 * up and the server starts anew. However it goes, in the end the phone has been told of every single refusal.
 */
const step = fc.record({
  who: fc.nat(1),
  act: fc.constantFrom(
    'forbidden',
    'forbidden',
    'forbidden',
    'overwrite',
    'allowed',
    'turn',
    'turn',
    'break',
    'break',
    'leave',
    'connect',
    'connect',
    'connect',
    'connect unread',
    'connect mute',
    'slow',
    'full',
    'free',
    'restart',
  ),
})

it.each([300, 2])(
  '[S6] no refusal goes missing, however lines break (refusals audited per minute: %i)',
  (refusedAuditPerMinute) => {
    let told = 0
    fc.assert(
      fc.property(fc.array(step, { minLength: 10, maxLength: 70 }), (steps) => {
        const disk = { full: false }
        const desk = syncDesk({
          store: new MemoryStore(() => {
            if (disk.full) throw new Error('disk full')
          }),
          limits: {
            offences: 1e9,
            socketsPerSession: 1e6,
            socketsPerPerson: 1e6,
            socketsPerGuest: 1e6,
            backlogBytes: 3_000,
            refusedAuditPerMinute,
          },
        })
        const boss = desk.phone('manager', 'boss')
        for (let i = 0; i < 2; i++) boss.set('people', `held${i}:text`, 'by the boss')
        desk.endTurn()
        const phones = ['bea', 'cleo'].map((name) => ({
          phone: desk.phone('mechanic', name),
          tried: [] as string[],
        }))
        const connect = (phone: typeof boss) => {
          phone.buffered = 0
          phone.connect()
        }
        let n = 0
        for (const { who, act } of steps) {
          const { phone, tried } = phones[who]!
          const forbidden = (key: string) => {
            tried.push(key)
            phone.set('people', `${key}:text`, `no ${++n}`)
          }
          if (act === 'forbidden') forbidden(`${phone.session.personId}${n}`)
          if (act === 'overwrite') forbidden(`held${who}`)
          if (act === 'allowed') phone.set('notes', `n${n % 3}:text`, `yes ${++n}`)
          if (act === 'turn') desk.endTurn()
          if (act === 'break') phone.breakLine()
          if (act === 'leave') phone.disconnect()
          if (act === 'slow') phone.buffered = 5_000
          if (act === 'full') disk.full = true
          if (act === 'free') {
            disk.full = false
            desk.timers.pass(5_000)
          }
          if (act.startsWith('connect')) {
            // A line that was not read, or not answered, can't be read later on: it breaks first.
            phone.breakLine()
            phone.reading = act !== 'connect unread'
            phone.answering = act !== 'connect mute'
            connect(phone)
          }
          if (act === 'restart') {
            for (const p of [boss, phone, ...phones.map((x) => x.phone)]) p.breakLine()
            desk.endTurn()
            desk.restart()
            if (!disk.full) connect(boss)
          }
        }
        disk.full = false
        desk.timers.pass(5_000)
        const all = [boss, ...phones.map((x) => x.phone)]
        for (const p of all) {
          p.breakLine()
          p.reading = p.answering = true
          connect(p)
          p.barrier()
        }
        desk.endTurn()
        desk.timers.pass(5_000)
        for (const { phone, tried } of phones) {
          const heard = new Set(phone.rejections.map((r) => r.path?.recordId))
          expect(tried.filter((key) => !heard.has(key))).toEqual([])
          told += tried.length
          expect(phone.acked).toBeGreaterThan(0)
        }
        for (const p of all) expect(p.board()).toEqual(storedBoard(desk.store))
        expect(Object.values(storedBoard(desk.store)['people']!)).toEqual(['by the boss', 'by the boss'])
      }),
      { numRuns: 250 },
    )
    expect(told).toBeGreaterThan(500)
  },
)
