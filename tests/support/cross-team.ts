import { setTimeout as sleep } from 'node:timers/promises'
import { newId } from '@/lib/core/id'
import { makeJoinCode } from '@/lib/join/join-code'
import { makeSessionToken, SESSION_COOKIE } from '@/lib/join/session-cookie'
import { secureRandom } from '@/server/join/secret-hash'
import { ProtocolPhone } from '../attack/protocol-phone'
import { askAt, type Ask } from './ask-at'
import { drawn, sha256 } from './pictures'
import { meetingRoom, type TeamOwn } from './two-teams'

const PICTURE = await drawn('jpeg', { width: 40, height: 30 })

/** What is known of another team, or made up. */
interface Known {
  cookie: string
  code: string
  feedToken: string
  feedId: string
  meetingId: string
  runId: string
  photoHash: string
  personId: string
  sessionId: string
  invitationId: string
}

interface Try {
  what: string
  /** Set where one has to be a member of the team that is asked. Others are tried at an address of no team too. */
  member?: boolean
  /** Costs the server so much of a stranger's time that it is tried each fifth time only. */
  dear?: boolean
  ask: (known: Known, own: TeamOwn, turn: number) => Omit<Ask, 'host'> | { room: string; cookie: string }
}

const post = (path: string, body: unknown, cookie?: string) => ({
  method: 'POST' as const,
  path,
  body,
  cookie,
})
const manager = (own: TeamOwn, turn: number) => own.managers[turn % own.managers.length] ?? ''

const TRIES: readonly Try[] = [
  { what: 'a session', ask: ({ cookie }) => ({ path: '/api/session', cookie }) },
  { what: 'the crew by a foreign session', ask: ({ cookie }) => ({ path: '/api/crew/people', cookie }) },
  { what: 'a join code, looked at', ask: ({ code }) => post('/api/join/preview', { code }) },
  { what: 'a join code, used', ask: ({ code }) => post('/api/join', { code, name: 'Somebody' }) },
  { what: 'a calendar', ask: ({ feedToken }) => ({ path: `/api/calendar/${feedToken}.ics` }) },
  {
    what: 'a photo by a foreign session',
    ask: (k) => ({ path: `/api/photos/${k.meetingId}/${k.photoHash}`, cookie: k.cookie }),
  },
  {
    what: 'an invitation by a foreign manager',
    ask: ({ cookie }) => post('/api/crew/invitations', { role: 'manager' }, cookie),
  },
  {
    what: 'the history by a foreign session',
    ask: ({ cookie }) => ({ path: '/api/history?room=kit', cookie }),
  },
  { what: 'the kit’s socket by a foreign session', ask: ({ cookie }) => ({ room: 'kit', cookie }) },
  {
    what: 'a meeting’s socket by a foreign session',
    ask: ({ cookie, meetingId }) => ({ room: meetingRoom(meetingId), cookie }),
  },
  {
    what: 'the archive by a foreign manager',
    dear: true,
    ask: ({ cookie }) => ({ path: '/api/archive/team', cookie }),
  },
  {
    what: 'a photo',
    member: true,
    ask: (k, own) => ({ path: `/api/photos/${k.meetingId}/${k.photoHash}`, cookie: own.driver }),
  },
  {
    what: 'a photo sent to a foreign run',
    member: true,
    ask: (k, own) => post(`/api/photos/${k.meetingId}/${k.runId}/${sha256(PICTURE)}`, PICTURE, own.driver),
  },
  {
    what: 'a foreign meeting’s socket',
    member: true,
    ask: (k, own, turn) => ({ room: meetingRoom(k.meetingId), cookie: manager(own, turn) }),
  },
  {
    what: 'a foreign meeting’s history',
    member: true,
    ask: (k, own, turn) => ({
      path: `/api/history?room=${encodeURIComponent(meetingRoom(k.meetingId))}`,
      cookie: manager(own, turn),
    }),
  },
  {
    what: 'a foreign meeting’s archive',
    member: true,
    ask: (k, own, turn) => ({ path: `/api/archive/meeting/${k.meetingId}`, cookie: manager(own, turn) }),
  },
  {
    what: 'a foreign person’s role',
    member: true,
    ask: (k, own, turn) => post(`/api/crew/people/${k.personId}/role`, { role: 'guest' }, manager(own, turn)),
  },
  {
    what: 'a foreign phone removed',
    member: true,
    ask: (k, own, turn) => post(`/api/crew/devices/${k.sessionId}/revoke`, {}, manager(own, turn)),
  },
  {
    what: 'a foreign invitation closed',
    member: true,
    ask: (k, own, turn) => post(`/api/crew/invitations/${k.invitationId}/revoke`, {}, manager(own, turn)),
  },
  {
    what: 'a foreign calendar closed',
    member: true,
    ask: (k, own, turn) => post(`/api/calendar/feeds/${k.feedId}/revoke`, {}, manager(own, turn)),
  },
  {
    what: 'a foreign calendar made',
    member: true,
    ask: (k, own, turn) =>
      post('/api/calendar/feeds', { meetingId: k.meetingId, personId: k.personId }, manager(own, turn)),
  },
  // Last: with the person their phones and calendars go.
  {
    what: 'a foreign person removed',
    member: true,
    ask: (k, own, turn) => post(`/api/crew/people/${k.personId}/remove`, {}, manager(own, turn)),
  },
]
export const TRIES_EACH_TURN = TRIES.length

const knownOf = (team: TeamOwn, turn: number): Known => ({ ...team, cookie: manager(team, turn) })
const madeUp = (): Known => ({
  cookie: `${SESSION_COOKIE}=${makeSessionToken(secureRandom)}`,
  code: makeJoinCode(secureRandom),
  feedToken: makeSessionToken(secureRandom),
  feedId: newId(),
  meetingId: newId(),
  runId: newId(),
  photoHash: Buffer.from(secureRandom(32)).toString('hex'),
  personId: newId(),
  sessionId: newId(),
  invitationId: newId(),
})

/** One try and what it was answered, each told apart by what was known. */
export interface Tried {
  what: string
  /** Null when what is another team's was answered as what does not exist, wherever it was asked. */
  difference: string | null
  /** ms: another team's own; made up; at an address of no team. */
  times: { own: number; madeUp: number; noTeam: number | null }
}

/**
 * Try everything once that a stranger or a member of `own` could with what belongs to `other`. `pauseMs`: before each question that takes much
 * of strangers' time, so that none has to wait for the one before.
 */
export async function tryCrossTeam(
  port: number,
  base: string,
  [own, other]: readonly [TeamOwn, TeamOwn],
  turn: number,
  pauseMs = 0,
): Promise<Tried[]> {
  const tried: Tried[] = []
  const from = `127.0.${1 + (Math.floor(turn / 250) % 250)}.${1 + (turn % 250)}`
  const nobody = `nobody-${turn % 4}.${base}:${port}`
  for (const { what, member, dear, ask } of TRIES) {
    if (dear && turn % 5 !== 0) continue
    const answer = (known: Known, host: string) =>
      answerOf(port, { ...ask(known, own, turn), host, from }, known)
    const asked: [() => ReturnType<typeof answer>, 'own' | 'madeUp' | 'noTeam'][] = [
      [() => answer(knownOf(other, turn), own.host), 'own'],
      [() => answer(madeUp(), own.host), 'madeUp'],
    ]
    if (!member)
      asked.push(
        [() => answer(knownOf(other, turn), nobody), 'noTeam'],
        [() => answer(madeUp(), nobody), 'noTeam'],
      )
    const times: Tried['times'] = { own: 0, madeUp: 0, noTeam: null }
    const texts: string[] = []
    // Who comes first is slower, or leaves less of the time that strangers have: chance says who it is.
    const order = asked.map((_, i) => ({ i, at: Math.random() })).sort((a, b) => a.at - b.at)
    for (const { i } of order) {
      if (dear && pauseMs > 0) await sleep(pauseMs)
      const [go, kind] = asked[i] ?? []
      if (!go || !kind) continue
      const { text, ms } = await go()
      times[kind] = ms
      texts[i] = text
    }
    const first = texts[0] ?? ''
    const other_ = texts.find((text) => text !== first)
    tried.push({
      what,
      difference: other_ === undefined ? null : `${first}\n   is not\n${other_}`,
      times,
    })
  }
  return tried
}

type Asked = (Omit<Ask, 'host'> | { room: string; cookie: string }) & { host: string; from: string }

/** Status, headers and body in one text, without dates and what the asker brought. */
async function answerOf(port: number, asked: Asked, known: Known): Promise<{ text: string; ms: number }> {
  const hide = (text: string) => {
    let plain = text.replaceAll(asked.host, 'HOST')
    for (const value of Object.values(known)) if (value !== '') plain = plain.replaceAll(value, 'KNOWN')
    return plain.replace(/(serverTime\\*":)\d+/g, '$1NOW')
  }
  if (!('room' in asked)) {
    const { status, headers, text, ms } = await askAt(port, asked)
    const { date: _, ...rest } = headers
    return { text: hide(JSON.stringify([status, rest, text])), ms }
  }
  const start = performance.now()
  const phone = new ProtocolPhone(`ws://127.0.0.1:${port}/sync/${asked.room}`, {
    ...asked,
    origin: `http://${asked.host}`,
  })
  const isIn = await phone.synced()
  const ms = performance.now() - start
  phone.close()
  const said = JSON.stringify([isIn, phone.closeCode, phone.closeReason, [...phone.frames], phone.session])
  return { text: hide(said), ms }
}
