import type { ServerResponse } from 'node:http'

export interface PolicyInputs {
  /** The checked Host header. */
  host: string
  secure: boolean
  /** Null for responses that are no pages: their scripts (workers) are covered by 'self'. */
  nonce: string | null
  /** The development server evaluates code it makes on the fly. */
  dev: boolean
}

/**
 * Content Security Policy level 3. Scripts run only with this response's nonce or when loaded by such a script; WebAssembly is for the planner's
 * solver. Styles may be inline: React's style attributes are.
 */
export function contentSecurityPolicy({ host, secure, nonce, dev }: PolicyInputs): string {
  const socket = `${secure ? 'wss' : 'ws'}://${host}`
  const scripts = nonce === null ? `'self'` : `'self' 'nonce-${nonce}' 'strict-dynamic'`
  return [
    `default-src 'self'`,
    `script-src ${scripts} 'wasm-unsafe-eval'${dev ? ` 'unsafe-eval'` : ''}`,
    `style-src 'self' 'unsafe-inline'`,
    `img-src 'self' data: blob:`,
    `font-src 'self'`,
    `connect-src 'self' ${socket}`,
    `worker-src 'self' blob:`,
    `manifest-src 'self'`,
    `media-src 'self'`,
    `frame-src 'none'`,
    `object-src 'none'`,
    `base-uri 'none'`,
    `form-action 'self'`,
    `frame-ancestors 'none'`,
  ].join('; ')
}

/** What every response carries. */
export function setSecurityHeaders(res: ServerResponse, policy: string): void {
  res.setHeader('Content-Security-Policy', policy)
  res.setHeader('X-Content-Type-Options', 'nosniff')
  res.setHeader('X-Frame-Options', 'DENY')
  res.setHeader('Referrer-Policy', 'no-referrer')
  res.setHeader('Cross-Origin-Opener-Policy', 'same-origin')
  res.setHeader('Cross-Origin-Resource-Policy', 'same-origin')
  res.setHeader(
    'Permissions-Policy',
    'camera=(self), screen-wake-lock=(self), geolocation=(), microphone=(), payment=(), usb=(), serial=()',
  )
}
