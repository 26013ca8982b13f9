/** What one photo may weigh once the phone has shrunk it, bytes. */
export const PHOTO_BYTES = 400 * 1024
/** The same of its thumbnail. */
export const THUMB_BYTES = 40 * 1024
/** Longest side of a photo as it is kept, and of its thumbnail, pixels. */
export const PHOTO_SIDE = 1600
export const THUMB_SIDE = 240
/** Photos that a run shows at most. */
export const PHOTOS_PER_RUN = 12

/** What every phone can make and every browser shows. */
export const PHOTO_TYPE = 'image/jpeg'

/** SHA-256 of a picture's bytes in lower-case hex: its name everywhere. */
export const PHOTO_HASH = /^[0-9a-f]{64}$/
