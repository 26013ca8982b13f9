import { fileURLToPath } from 'node:url'
import type { ServerProcess } from '../support/server-process'
import { outcomeOf, type Attack } from './attack'
import type { Ground } from './ground'

const CLOCK = fileURLToPath(new URL('../support/later-clock.mjs', import.meta.url))
const DAY_MS = 24 * 3600_000

const join = (ground: Ground, server: ServerProcess, code: string, name: string, from: string) =>
  ground.http(server, 'POST', '/api/join', { body: { code, name }, from })
const look = (ground: Ground, server: ServerProcess, code: string, from: string) =>
  ground.http(server, 'POST', '/api/join/preview', { body: { code }, from })
/** A code like `right` that no invitation has. */
const wrongFor = (right: string, i: number) =>
  `${right.slice(0, -2)}${[...'23456789'].filter((c) => c !== right.at(-2))[i % 7] ?? '2'}${right.slice(-1)}`

/** Somebody with an invitation guesses others, `atOnce` at a time, with the own right code in between; goes on until told to stop. */
function guesser(ground: Ground, server: ServerProcess, right: string, from: string, atOnce: number) {
  let [running, wrong, letIn] = [true, 0, 0]
  const worker = async () => {
    while (running) {
      for (let i = 0; running && i < 4; i++) {
        wrong++
        if ((await look(ground, server, wrongFor(right, wrong), from)).status === 200) letIn++
      }
      await look(ground, server, right, from)
    }
  }
  const work = Promise.all(Array.from({ length: atOnce }, worker))
  return {
    /** Resolves when so many guesses have been made, or after a while: a good defense slows them. */
    async warmUp(guesses: number, ms: number) {
      const end = performance.now() + ms
      while (wrong < guesses && performance.now() < end) await ground.wait(20)
    },
    async stop() {
      running = false
      await work
      return { wrong, letIn }
    },
  }
}

const otherAddresses: Attack = {
  rule: 'S25',
  title: 'Somebody who guesses codes from one address keeps nobody out at others',
  short: true,
  async run(ground) {
    const server = await ground.server()
    const { code } = server.invite('guest')
    const attack = guesser(ground, server, code, '127.0.0.2', 1)
    await attack.warmUp(104, 2_500)
    const joined = await Promise.all(
      Array.from({ length: 8 }, (_, i) => join(ground, server, code, `Honest ${i}`, `127.0.0.${10 + i}`)),
    )
    const { wrong, letIn } = await attack.stop()
    const inside = joined.filter((a) => a.status === 200).length
    return outcomeOf([
      [letIn === 0, `${letIn} of ${wrong} guesses let in`],
      [
        inside === 8,
        `${inside} of 8 honest joiners in at the first try, the slowest after ${Math.max(...joined.map((a) => a.ms)).toFixed(0)} ms`,
      ],
    ])
  },
}

const sameAddress: Attack = {
  rule: 'S25',
  title: 'Somebody who guesses codes keeps neither the crew nor a new phone behind the same address out',
  short: true,
  async run(ground) {
    const server = await ground.server()
    const crew = await ground.crew(server)
    const { code } = server.invite('driver')
    const shared = '127.0.0.2'
    const attack = guesser(ground, server, code, shared, 6)
    await attack.warmUp(400, 2_500)
    const session = await ground.http(server, 'GET', '/api/session', {
      cookie: crew.mechanic.cookie,
      from: shared,
    })
    const socket = ground.phone(server, 'kit', { cookie: crew.mechanic.cookie, from: shared })
    const opened = await socket.synced()
    const joiner = await join(ground, server, code, 'Honest', shared)
    const { wrong, letIn } = await attack.stop()
    return outcomeOf([
      [letIn === 0, `${letIn} of ${wrong} guesses let in`],
      [session.status === 200, `the mechanic’s session was answered with ${session.status}`],
      [opened, `the mechanic’s socket was ${opened ? 'opened' : `refused with ${socket.closeCode}`}`],
      [
        joiner.status === 200,
        `a new phone was answered with ${joiner.status} after ${joiner.ms.toFixed(0)} ms`,
      ],
    ])
  },
}

const manyRequests: Attack = {
  rule: 'S25',
  title:
    'A thousand requests a stranger makes keep neither the crew nor a new phone behind the same address out',
  short: true,
  async run(ground) {
    const server = await ground.server()
    const crew = await ground.crew(server)
    const { code } = server.invite('driver')
    const shared = '127.0.0.2'
    const paths = ['/api/session', '/api/crew/people', '/api/calendar/x.ics', '/api/nothing']
    let refused = 0
    for (let i = 0; i < 25; i++)
      for (const { status } of await Promise.all(
        Array.from({ length: 40 }, (_, k) =>
          ground.http(server, 'GET', paths[k % 4] ?? '', { from: shared }),
        ),
      ))
        if (status === 429) refused++
    const crewList = await ground.http(server, 'GET', '/api/crew/people', {
      cookie: crew.mechanic.cookie,
      from: shared,
    })
    const joiner = await join(ground, server, code, 'Honest', shared)
    return outcomeOf([
      [refused > 0, `${refused} of 1000 turned away`],
      [crewList.status === 200, `the mechanic was answered with ${crewList.status}`],
      [joiner.status === 200, `a new phone was answered with ${joiner.status}`],
    ])
  },
}

const onceOnly: Attack = {
  rule: 'S25',
  title: 'Twenty phones at once with a code for one phone: one gets in',
  short: true,
  async run(ground) {
    const server = await ground.server()
    const { code } = server.invite('manager', { singleUse: true })
    const answers = await Promise.all(
      Array.from({ length: 20 }, (_, i) => join(ground, server, code, `Racer ${i}`, `127.0.0.${10 + i}`)),
    )
    const inside = answers.filter((a) => a.status === 200).length
    const { n } = ground.query(
      server,
      (db) => db.prepare('SELECT count(*) AS n FROM sessions').get() as { n: number },
    )
    return outcomeOf([
      [inside === 1, `${inside} of 20 in`],
      [n === 1, `${n} sessions in the database`],
    ])
  },
}

const jumpingClock: Attack = {
  rule: 'S25',
  title: 'A wall clock that is a day ahead for a while locks nobody out once it is right',
  short: true,
  async run(ground) {
    const server = await ground.server({
      env: { NODE_OPTIONS: `--import=${CLOCK}`, CLOCK_JUMP_MS: String(DAY_MS) },
    })
    const crew = await ground.crew(server)
    const room = await ground.meeting(server, crew.manager)
    const { code } = server.invite('driver')
    const shared = '127.0.0.2'
    const jump = async () => {
      const day = async () =>
        Math.round(
          ((
            JSON.parse((await ground.http(server, 'GET', '/api/session', { from: '127.0.0.9' })).text) as {
              serverTime: number
            }
          ).serverTime -
            Date.now()) /
            DAY_MS,
        )
      const before = await day()
      process.kill(server.pid, 'SIGUSR2')
      while ((await day()) === before) await ground.wait(10)
    }
    const phone = await ground.joined(server, crew.mechanic, room)
    await jump()
    const attack = guesser(ground, server, code, shared, 6)
    await attack.warmUp(200, 2_000)
    await attack.stop()
    await Promise.all(
      Array.from({ length: 150 }, () => ground.http(server, 'GET', '/api/nothing', { from: shared })),
    )
    await jump()
    // What was used up while the clock was ahead comes back within a second.
    await ground.wait(1_500)
    const session = await ground.http(server, 'GET', '/api/crew/people', {
      cookie: crew.driver.cookie,
      from: shared,
    })
    const plain = await ground.http(server, 'GET', '/api/nothing', { from: shared })
    const joiner = await join(ground, server, code, 'Honest', shared)
    phone.set('notes', 'n1', 'about', 'after the jump')
    const saved = await phone.barrier()
    return outcomeOf([
      [session.status === 200, `the driver was answered with ${session.status}`],
      [plain.status === 404, `a stranger with ${plain.status}`],
      [joiner.status === 200, `a new phone with ${joiner.status}`],
      [
        saved !== null,
        `an edit was ${saved === null ? 'never acknowledged' : `acknowledged after ${saved.toFixed(0)} ms`}`,
      ],
    ])
  },
}

export const joinAttacks: readonly Attack[] = [
  otherAddresses,
  sameAddress,
  manyRequests,
  onceOnly,
  jumpingClock,
]
