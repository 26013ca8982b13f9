import * as decoding from 'lib0/decoding'
import * as encoding from 'lib0/encoding'
import type { Json } from '@/lib/core/json'
import { FRAME } from '@/lib/sync/frames'
import type { HistoryResponse } from '@/lib/sync/history-api'
import { outcomeOf, type Attack } from './attack'
import type { Ground } from './ground'
import { rawFrame, type ProtocolPhone } from './protocol-phone'

const DAY_MS = 24 * 3600_000

/** Write fields of records as one update, and wait until the server has judged it. */
async function write(phone: ProtocolPhone, ...fields: [string, string, string, Json][]): Promise<void> {
  phone.doc.transact(() => {
    for (const [collection, id, field, value] of fields) phone.set(collection, id, field, value)
  })
  await phone.barrier()
}
const stamp = (v: Json, by: string, at = Date.now()) => ({ v, by, at })

/** A meeting on a fresh server, with a car of the driver's and one of nobody's. */
async function pit(ground: Ground) {
  const server = await ground.server()
  const crew = await ground.crew(server)
  const room = await ground.meeting(server, crew.manager)
  const kit = await ground.joined(server, crew.manager, 'kit')
  await write(
    kit,
    ['cars', 'own', 'driverId', crew.driver.personId],
    ['cars', 'other', 'driverId', crew.manager.personId],
  )
  const enter = (role: keyof typeof crew) => ground.joined(server, crew[role], room)
  return { server, crew, room, kit, enter, board: () => ground.board(server, crew.manager, room) }
}

const signed: Attack = {
  rule: 'S4',
  title: 'What somebody signed keeps its meaning, and a proposal is not moved to be decided',
  short: true,
  async run(ground) {
    const { crew, enter, board } = await pit(ground)
    const by = crew.manager.personId
    const manager = await enter('manager')
    await write(
      manager,
      ['proposals', 'p', 'carId', 'other'],
      ['proposals', 'p', 'parameter', 'pinion'],
      ['proposals', 'p', 'value', stamp(23, by)],
      ['notes', 'n', 'about', 'car:other'],
      ['notes', 'n', 'text', stamp('Cell 2 is weak', by)],
      ['conditions', 'c', 'text', stamp('Dust', by)],
    )
    const driver = await enter('driver')
    await write(driver, ['proposals', 'p', 'parameter', 'spur'])
    await write(driver, ['notes', 'n', 'about', 'car:own'])
    await write(driver, ['conditions', 'c', 'removed', true])
    await write(driver, ['conditions', 'c', 'text', stamp('Wet', crew.driver.personId)])
    const mine = crew.driver.personId
    await write(
      driver,
      ['proposals', 'p', 'carId', 'own'],
      ['proposals', 'p', 'outcome', stamp('left', mine)],
    )
    const mechanic = await enter('mechanic')
    await write(mechanic, ['notes', 'n', 'removed', true])
    const { proposals = {}, notes = {}, conditions = {} } = await board()
    return outcomeOf([
      [proposals['p:parameter'] === 'pinion', `the proposal is for ${String(proposals['p:parameter'])}`],
      [
        proposals['p:carId'] === 'other' && !proposals['p:outcome'],
        `on the car ${String(proposals['p:carId'])}, decided: ${!!proposals['p:outcome']}`,
      ],
      [
        notes['n:about'] === 'car:other' && !notes['n:removed'],
        `the note is about ${String(notes['n:about'])}, removed: ${!!notes['n:removed']}`,
      ],
      [
        !conditions['c:removed'] && JSON.stringify(conditions['c:text']).includes('Dust'),
        'the conditions are as signed',
      ],
    ])
  },
}

const stamps: Attack = {
  rule: 'S4',
  title: 'Stamps of 2001 and 2099, an accept of something else and a record before the start are refused',
  short: true,
  async run(ground) {
    const { crew, enter, board } = await pit(ground)
    const manager = await enter('manager')
    await write(
      manager,
      ['meeting', 'meeting', 'startsAt', Date.now()],
      ['heats', 'h', 'number', 1],
      ['entries', 'e', 'heatId', 'h'],
      ['entries', 'e', 'carId', 'own'],
    )
    const by = crew.mechanic.personId
    const mechanic = await enter('mechanic')
    await write(mechanic, ['cardValues', 'own.pinion', 'fitted', stamp(22, by, Date.UTC(2099, 0, 1))])
    await write(mechanic, ['cardValues', 'own.spur', 'fitted', stamp(80, by, Date.UTC(2001, 0, 1))])
    await write(mechanic, ['heats', 'h', 'startedAt', stamp(Date.now() - 20 * DAY_MS, by)])
    const record = {
      frozenAt: Date.now(),
      values: {},
      packId: null,
      tireSetId: null,
      missing: [],
      accepted: true,
      digest: '',
    }
    await write(mechanic, ['runs', 'e', 'record', stamp(record, by)])
    const driver = await enter('driver')
    const accept = { by: crew.driver.personId, at: Date.now(), covers: '0'.repeat(32) }
    await write(driver, ['runs', 'e', 'accepted', accept])
    const { cardValues = {}, heats = {}, runs = {} } = await board()
    return outcomeOf([
      [!cardValues['own.pinion:fitted'], 'a stamp of 2099'],
      [!cardValues['own.spur:fitted'], 'a stamp of 2001'],
      [!heats['h:startedAt'], 'a start twenty days before the meeting'],
      [!runs['e:record'], 'a record before the start'],
      [!runs['e:accepted'], 'an accept whose digest is not the run’s'],
    ])
  },
}

const names: Attack = {
  rule: 'S4',
  title: 'Nobody takes somebody else’s name, nor one that looks like it or turns the text around',
  short: true,
  async run(ground) {
    const server = await ground.server()
    const crew = await ground.crew(server)
    const { personId, name } = crew.mechanic
    const kit = await ground.joined(server, crew.mechanic, 'kit')
    const tried = [
      crew.manager.name,
      crew.manager.name.replace('a', 'а'),
      'The\u200d manager',
      'abc\u202edef',
      '\u200b\u200d',
      'a\nb',
      '\u3164',
    ]
    for (const wanted of tried) await write(kit, ['people', personId, 'name', wanted])
    const { people = {} } = await ground.board(server, crew.manager, 'kit')
    const { code } = server.invite('guest')
    const joined = await Promise.all(
      tried.map((n) => ground.http(server, 'POST', '/api/join', { body: { code, name: n } })),
    )
    const inside = joined.filter((a) => a.status === 200).length
    return outcomeOf([
      [
        people[`${personId}:name`] === name,
        `the mechanic is called ${JSON.stringify(people[`${personId}:name`])}`,
      ],
      [inside === 0, `${inside} of ${tried.length} such names joined`],
    ])
  },
}

const reading: Attack = {
  rule: 'S13',
  title: 'Devices and refused attempts are told to managers alone; ids that every object inherits are none',
  short: true,
  async run(ground) {
    const { server, crew } = await pit(ground)
    const ids = [
      '__proto__',
      'constructor',
      'a.__proto__',
      '',
      'x'.repeat(200),
      'a\u0000b',
      'e\u0301',
      'a..b',
    ]
    for (const id of ids) {
      // Each on a page of its own: one whose edits were refused whole is not listened to any more, and is owed no acknowledgement.
      const page = await ground.joined(server, crew.manager, 'kit')
      page.set('motors', id, 'name', 'Polluted')
      await page.barrier(500)
      page.close()
    }
    const held = Object.keys((await ground.board(server, crew.manager, 'kit'))['motors'] ?? {})
    const history = async (cookie: string) => {
      const answer = await ground.http(server, 'GET', '/api/history?room=kit', { cookie })
      return (JSON.parse(answer.text) as HistoryResponse).entries
    }
    const [all, some] = [await history(crew.manager.cookie), await history(crew.guest.cookie)]
    return outcomeOf([
      [held.length === 0, `${held.length} of ${ids.length} such ids are on the board`],
      [all.some((e) => e.outcome === 'refused' && e.deviceId), 'a manager sees the attempts'],
      [
        some.length > 0 && some.every((e) => e.outcome !== 'refused' && !('deviceId' in e)),
        `a guest sees ${some.length} entries, none of a device`,
      ],
    ])
  },
}

const presence: Attack = {
  rule: 'S9',
  title: 'Nobody takes over the presence of a phone that is away',
  short: true,
  async run(ground) {
    const { crew, enter } = await pit(ground)
    const CLIENT = 4711
    const present = (phone: ProtocolPhone, clock: number, says: string) => {
      const body = encoding.createEncoder()
      encoding.writeVarUint(body, 1)
      encoding.writeVarUint(body, CLIENT)
      encoding.writeVarUint(body, clock)
      encoding.writeVarString(body, JSON.stringify({ says }))
      phone.send(
        rawFrame(FRAME.awareness, (e) => encoding.writeVarUint8Array(e, encoding.toUint8Array(body))),
      )
      return phone.barrier()
    }
    const owner = await enter('driver')
    const seen: string[] = []
    const watcher = await enter('manager')
    watcher.ws.on('message', (data: Buffer) => {
      const d = decoding.createDecoder(data)
      if (decoding.readVarUint(d) !== FRAME.awareness) return
      const body = decoding.createDecoder(decoding.readVarUint8Array(d))
      for (let n = decoding.readVarUint(body); n > 0; n--) {
        const client = decoding.readVarUint(body)
        decoding.readVarUint(body)
        const state = decoding.readVarString(body)
        if (client === CLIENT && state !== 'null') seen.push(state)
      }
    })
    await present(owner, 1, 'here')
    owner.close()
    await present(await enter('mechanic'), 50, 'taken over')
    await present(await enter('driver'), 10, 'back')
    await watcher.barrier()
    return outcomeOf([
      [
        !seen.some((s) => s.includes('taken over')),
        `seen under the client: ${seen.length} states, none of ${crew.mechanic.name}`,
      ],
      [seen.some((s) => s.includes('"back"')), 'its owner is seen again when it comes back'],
    ])
  },
}

/** Attacks of people with a role on what is not theirs to write or to read. */
export const policyAttacks: readonly Attack[] = [signed, stamps, names, reading, presence]
