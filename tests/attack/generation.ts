import { join } from 'node:path'
import * as Y from 'yjs'
import { formatKey } from '@/lib/board'
import { writeGeneration } from '@/lib/sync/frames'
import { backUp } from '@/server/storage/backup'
import { openDatabase } from '@/server/storage/open-database'
import { restore } from '@/server/storage/restore'
import type { ServerProcess } from '../support/server-process'
import { outcomeOf, type Attack } from './attack'
import type { ProtocolPhone } from './protocol-phone'
import { updateFrame } from './protocol-phone'

async function backup(server: ServerProcess): Promise<string> {
  const file = join(server.dataFolder, 'before.backup')
  const client = openDatabase(server.dataFolder)
  const made = await backUp(client, file, Date.now())
  client.close()
  if (!made.ok) throw new Error(JSON.stringify(made.error))
  return file
}
async function putBack(server: ServerProcess, file: string): Promise<void> {
  await server.stop()
  const done = restore(file, server.dataFolder, Date.now())
  if (!done.ok) throw new Error(JSON.stringify(done.error))
  await server.restart()
}
const generationOf = (phone: ProtocolPhone): string =>
  phone.session?.state === 'active' ? (phone.session.board?.generation ?? '') : ''

const resending: Attack = {
  rule: 'S23',
  title: 'A mechanic sends what a manager lost in a restore as their own, and lies about where it comes from',
  short: true,
  async run(ground) {
    const server = await ground.server()
    const crew = await ground.crew(server)
    const file = await backup(server)
    const manager = await ground.joined(server, crew.manager, 'kit')
    manager.set('cars', 'a', 'name', 'Lost')
    manager.set('people', crew.mechanic.personId, 'role', 'manager')
    await manager.barrier()
    const held = await ground.joined(server, crew.mechanic, 'kit')
    const all = Y.encodeStateAsUpdate(held.doc)
    manager.close()
    await putBack(server, file)
    const liar = await ground.joined(server, crew.mechanic, 'kit')
    liar.send(writeGeneration(generationOf(liar)))
    liar.send(updateFrame(all))
    await ground.wait(500)
    const honest = await ground.joined(server, crew.manager, 'kit')
    honest.set('cars', 'b', 'name', 'Next')
    const saved = await honest.barrier()
    const people = (await ground.board(server, crew.manager, 'kit'))['people'] ?? {}
    const role = people[formatKey(crew.mechanic.personId, 'role')]
    return outcomeOf([
      [role !== 'manager', `the mechanic's role on the board is ${JSON.stringify(role)}`],
      [saved !== null && honest.rejections.length === 0, 'the manager’s next edit is saved'],
    ])
  },
}

const foreign: Attack = {
  rule: 'S23',
  title:
    'A phone of another generation, or one that says nothing, sends the board as it was before a restore',
  short: true,
  async run(ground) {
    const server = await ground.server()
    const crew = await ground.crew(server)
    const file = await backup(server)
    const manager = await ground.joined(server, crew.manager, 'kit')
    const before = generationOf(manager)
    manager.set('cars', 'a', 'name', 'Lost')
    await manager.barrier()
    const second = await ground.joined(server, crew.mechanic, 'kit')
    second.set('cars', 'a', 'note', 'Lost too')
    await second.barrier()
    await ground.wait(200)
    const all = Y.encodeStateAsUpdate((await ground.joined(server, crew.mechanic, 'kit')).doc)
    await putBack(server, file)
    const [other, silent] = [
      await ground.joined(server, crew.mechanic, 'kit'),
      await ground.joined(server, crew.mechanic, 'kit'),
    ]
    other.send(writeGeneration(before))
    other.send(updateFrame(all))
    silent.send(updateFrame(all))
    await ground.wait(500)
    const cars = (await ground.board(server, crew.manager, 'kit'))['cars'] ?? {}
    const kinds = [other, silent].map((p) => p.rejections.map((r) => r.kind).join(' '))
    const next = await ground.joined(server, crew.manager, 'kit')
    next.set('cars', 'b', 'name', 'Next')
    return outcomeOf([
      [generationOf(other) !== before, 'the restored board has another generation'],
      [!JSON.stringify(cars).includes('Lost'), `nothing of it is taken: refused as ${kinds.join(' and ')}`],
      [(await next.barrier()) !== null && next.rejections.length === 0, 'the manager’s next edit is saved'],
    ])
  },
}

const claiming: Attack = {
  rule: 'S23',
  title: 'A clientID is claimed while its phone, which has written nothing yet, is present under it',
  short: true,
  async run(ground) {
    const server = await ground.server()
    const crew = await ground.crew(server)
    const victim = await ground.stock(server, crew.manager, 'kit')
    victim.provider.awareness.setLocalStateField('looking', {})
    await ground.wait(300)
    const thief = await ground.joined(server, crew.mechanic, 'kit')
    const stolen = new Y.Doc()
    stolen.clientID = victim.doc.clientID
    stolen.getMap('packs').set(formatKey('p', 'label'), 'Stolen')
    thief.send(updateFrame(Y.encodeStateAsUpdate(stolen)))
    await ground.wait(300)
    victim.doc.getMap('packs').set(formatKey('q', 'label'), 'Mine')
    await ground.wait(500)
    const packs = (await ground.board(server, crew.manager, 'kit'))['packs'] ?? {}
    return outcomeOf([
      [
        packs[formatKey('p', 'label')] === undefined,
        `refused as ${thief.rejections.map((r) => r.kind).join(' ')}`,
      ],
      [packs[formatKey('q', 'label')] === 'Mine', 'its own phone’s first edit is on the board'],
    ])
  },
}

export const generationAttacks: readonly Attack[] = [resending, foreign, claiming]
