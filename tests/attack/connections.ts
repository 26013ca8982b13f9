import { connect, type Socket } from 'node:net'
import type { ServerProcess } from '../support/server-process'
import { outcomeOf, type Attack } from './attack'

/** Connections from one address that send the first half of a request and then nothing. */
async function halfRequests(server: ServerProcess, from: string, count: number) {
  const sockets: Socket[] = []
  let ended = 0
  await Promise.all(
    Array.from(
      { length: count },
      () =>
        new Promise<void>((resolve) => {
          const socket = connect({ host: '127.0.0.1', port: server.port, localAddress: from })
          sockets.push(socket)
          socket.on('error', () => undefined).resume()
          socket.once('close', () => {
            ended++
            resolve()
          })
          socket.once('connect', () => socket.write('GET /healthz HTTP/1.1\r\nHost: loc', () => resolve()))
        }),
    ),
  )
  return {
    get ended() {
      return ended
    },
    close: () => sockets.forEach((s) => s.destroy()),
  }
}

const half: Attack = {
  rule: 'S25',
  title: 'A thousand connections that only wait, from one address, cost nobody else an answer',
  short: true,
  async run(ground) {
    const server = await ground.server()
    const crew = await ground.crew(server)
    const attack = await halfRequests(server, '127.0.0.66', 1_000)
    const answers = []
    for (let i = 0; i < 20; i++)
      answers.push(
        await ground.http(server, 'GET', '/api/session', { cookie: crew.driver.cookie, from: '127.0.0.7' }),
      )
    const slowest = Math.max(...answers.map((a) => a.ms))
    const phone = await ground.joined(server, crew.mechanic, await ground.meeting(server, crew.manager))
    phone.set('notes', 'n1', 'about', 'beside the crowd')
    const saved = await phone.barrier()
    const { ended } = attack
    attack.close()
    return outcomeOf([
      [
        answers.every((a) => a.status === 200),
        `others were answered, the slowest after ${slowest.toFixed(0)} ms`,
      ],
      [saved !== null, 'an edit was acknowledged'],
      [ended >= 400, `${ended} of 1000 connections were ended at once`],
    ])
  },
}

const slow: Attack = {
  rule: 'S25',
  title: 'A request that never ends is ended by the server',
  short: false,
  async run(ground) {
    const server = await ground.server()
    const attack = await halfRequests(server, '127.0.0.66', 100)
    const start = performance.now()
    while (attack.ended < 100 && performance.now() - start < 25_000) await ground.wait(100)
    const seconds = (performance.now() - start) / 1000
    const { ended } = attack
    attack.close()
    return outcomeOf([[ended === 100, `${ended} of 100 were ended after ${seconds.toFixed(1)} s`]])
  },
}

export const connectionAttacks: readonly Attack[] = [half, slow]
