import type { ServerProcess } from '../support/server-process'
import { outcomeOf, type Attack } from './attack'
import type { Ground } from './ground'

/** A code that no invitation has. */
const wrongCode = (i: number) => `22222${String.fromCharCode(97 + (i % 8))}2222`

const join = (ground: Ground, server: ServerProcess, code: string, name: string, from?: string) =>
  ground.http(server, 'POST', '/api/join', { body: { code, name }, ...(from && { from }) })

/** Wrong codes from one address, several at a time. Gives how many of them were let in. */
async function guess(ground: Ground, server: ServerProcess, count: number, from: string): Promise<number> {
  let sent = 0
  let let_in = 0
  const worker = async () => {
    while (sent < count) {
      const i = sent++
      const answer = await ground.http(server, 'POST', '/api/join/preview', {
        body: { code: wrongCode(i) },
        from,
      })
      if (answer.status === 200) let_in++
    }
  }
  await Promise.all(Array.from({ length: 8 }, worker))
  return let_in
}

const otherAddresses: Attack = {
  rule: 'S25',
  title: 'Wrong codes from one address keep nobody out who joins from another',
  short: true,
  async run(ground) {
    const server = await ground.server()
    const { code } = server.invite('guest')
    const wrong = await guess(ground, server, 400, '127.0.0.2')
    const joined = await Promise.all(
      Array.from({ length: 8 }, (_, i) => join(ground, server, code, `Honest ${i}`, `127.0.0.${10 + i}`)),
    )
    const ok = joined.filter((a) => a.status === 200).length
    return outcomeOf([
      [wrong === 0, `${wrong} of 400 guesses let in`],
      [ok === 8, `${ok} of 8 honest joiners in at the first try`],
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
    const ok = answers.filter((a) => a.status === 200).length
    const sessions = ground.query(
      server,
      (db) => db.prepare('SELECT count(*) AS n FROM sessions').get() as { n: number },
    )
    return outcomeOf([
      [ok === 1, `${ok} of 20 in`],
      [sessions.n === 1, `${sessions.n} sessions in the database`],
    ])
  },
}

export const joinAttacks: readonly Attack[] = [otherAddresses, onceOnly]
