/** Day, night, or as the device says. Kept in a cookie, so that the server's first byte already has the right paper. */
export const NIGHT_COOKIE = 'stagecall_night'
export const NIGHTS = ['off', 'on', 'auto'] as const
export type Night = (typeof NIGHTS)[number]

export const parseNight = (text: string | undefined): Night => NIGHTS.find((n) => n === text) ?? 'auto'
export const NIGHT_WORDS: Record<Night, string> = { off: 'Day', on: 'Night', auto: 'Same as the device' }
