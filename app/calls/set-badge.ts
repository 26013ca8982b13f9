/** The number on the icon of an installed board. */
export function setBadge(count: number): void {
  if (!('setAppBadge' in navigator)) return
  void (count > 0 ? navigator.setAppBadge(count) : navigator.clearAppBadge()).catch(() => undefined)
}
