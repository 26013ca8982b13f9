import pino, { type Logger } from 'pino'
import pretty from 'pino-pretty'
import type { Settings } from './env'

/** Secrets have no business in a log, wherever in an entry they turn up. */
const SECRET_KEYS = ['cookie', 'set-cookie', 'authorization', 'token', 'code']
const REDACTED_PATHS = SECRET_KEYS.flatMap((key) => ['', '*', '*.*', '*.*.*'].map((at) => `${at}["${key}"]`))
/** The codes of errors are called `code` too, and are what a log is read for. */
const ERROR_CODE = /^(E[A-Z0-9]+|ERR_[A-Z0-9_]+|SQLITE_[A-Z_]+)$/
const censor = (value: unknown): unknown =>
  typeof value === 'number' || (typeof value === 'string' && ERROR_CODE.test(value)) ? value : '[redacted]'

export interface LogTarget {
  write(line: string): void
}

/** Structured log on stderr: readable on a terminal, one JSON object per line elsewhere. */
export function createLog(level: Settings['logLevel'], target?: LogTarget): Logger {
  const options = { level, base: null, redact: { paths: REDACTED_PATHS, censor } }
  if (target) return pino(options, target)
  if (!process.stderr.isTTY) return pino(options, pino.destination({ fd: 2, sync: true }))
  return pino(options, pretty({ destination: 2, sync: true, translateTime: 'HH:MM:ss', colorize: true }))
}
