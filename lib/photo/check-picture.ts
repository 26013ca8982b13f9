import { refuse, type Result } from '../core/result'
import { readPicture, type Picture } from './read-picture'

/** Whether bytes are a picture that the board shows and that says nothing beyond what it shows. One answer for sending, archiving and taking in. */
export function checkPicture(bytes: Uint8Array): Result<Picture> {
  const read = readPicture(bytes)
  return read.ok && read.value.extras.length > 0
    ? refuse(
        'Photo',
        '',
        'it says more than it shows (place, camera or comments)',
        'Add it by the board, which leaves that out.',
      )
    : read
}
