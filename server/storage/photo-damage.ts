/** Photos that are not as they were written, in words; none where all are. The board is right without them: they stop nothing. */
export const photoDamage = (photos: readonly string[]): string[] =>
  photos.length === 0
    ? []
    : [`${photos.length} ${photos.length === 1 ? 'photo is' : 'photos are'} damaged and will not be shown.`]
