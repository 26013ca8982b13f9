import type { Readable } from 'node:stream'
import type { z } from 'zod'
import type { Refusal, Result } from '@/lib/core/result'
import type { Role } from '@/lib/core/role'
import type { LiveSession } from '../join/live-session'
import type { Visitor } from '../join/join-desk'

/** Who may call a route: anybody, anybody who has joined, or certain roles. */
export type Access = 'open' | 'joined' | readonly Role[]

export interface ApiRequest<Body> {
  params: Readonly<Record<string, string>>
  query: URLSearchParams
  body: Body
  session: LiveSession | null
  visitor: Visitor
  /** The Cookie header, for the session route alone: it renews the cookie. */
  cookie: string | undefined
  /** Over TLS: cookies get Secure. */
  secure: boolean
  /** The If-None-Match header, for what is read again and again. */
  ifNoneMatch: string | undefined
  /** Charge the asker for so many ms of the server's time beyond what is measured. */
  spend: (ms: number) => void
}

export interface ApiResponse {
  status: number
  /** Sent as JSON. */
  body: unknown
  /** Sent as it is, instead of the body; its type is told in the headers. */
  text?: string
  /** The same, for what is no text. */
  bytes?: Uint8Array
  /** The same, for what is made while it is sent. */
  stream?: Readable
  headers?: Record<string, string>
}

/** One route of the HTTP API. */
export interface ApiRoute<Body = unknown> {
  method: 'GET' | 'POST'
  /** `/api/crew/people/:id/role`: parts that start with a colon become `params`. */
  path: string
  access: Access
  /**
   * Whoever has not joined is answered however much else comes from their address, which a whole pit may share: the route itself sees to it that
   * answering costs little.
   */
  always?: boolean
  /** [S25] What it takes of the server's time beyond what it does before it first waits, ms. */
  costMs?: number
  /** Longest body, bytes; 64 KiB unless told. */
  bodyBytes?: number
  /** Shape of the JSON body of a POST; without one the body is not read. */
  body?: z.ZodType<Body>
  /** The body of a POST is taken as bytes instead: a `Buffer` of one of these types, at most so long. */
  raw?: { types: readonly string[]; bytes: number }
  handle(req: ApiRequest<Body>): ApiResponse | Promise<ApiResponse>
}

/** Keeps `handle`'s body typed by the route's schema. */
export const route = <Body>(r: ApiRoute<Body>): ApiRoute => r

export const reply = (body: unknown, headers?: Record<string, string>): ApiResponse => ({
  status: 200,
  body,
  ...(headers && { headers }),
})
export const refused = (status: number, error: Refusal): ApiResponse => ({ status, body: { error } })
/** A result as a response: 200 with its value made into a body, or 422 with the refusal. */
export const replyResult = <T>(result: Result<T>, body: (value: T) => unknown): ApiResponse =>
  result.ok ? reply(body(result.value)) : refused(422, result.error)
