/** Standard acceleration of gravity, m/s². Exact by definition: 3rd CGPM (1901); NIST SP 811 (2008), B.8. */
export const g = 9.80665
/** Copper's resistance rises by this share per kelvin at 20 °C. IEC 60028 (1925): 0.00393 per °C. */
export const copperPerKelvin = 0.00393
/** rad/s in one rpm: 2 pi / 60. */
export const radPerSecPerRpm = (2 * Math.PI) / 60
