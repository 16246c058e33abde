package dim

// How leather is sold. An ounce of thickness is 1/64 inch and an iron 1/48 (ASTM
// D1814); the trade reckons with 0.4 mm an ounce, which is 0.8 % more. A foot is 304.8
// mm (international yard and pound agreement of 1959).

// Ounces is a thickness in micrometres as ounces of leather, exact.
func Ounces(n int64) float64 { return float64(n) * 64 / 25_400 }

// TradeOunces is a thickness in micrometres as ounces of 0.4 mm, as the trade says it.
func TradeOunces(n int64) float64 { return float64(n) / 400 }

// Irons is a thickness in micrometres as irons.
func Irons(n int64) float64 { return float64(n) * 48 / 25_400 }

// SquareCentimetres is the area of a rectangle of micrometres. A square decimetre is
// 100 of them, and the DS by which leather is sold.
func SquareCentimetres(w, l int64) float64 { return float64(w) * float64(l) / 1e8 }

// SquareFeet is an area in square centimetres as square feet.
func SquareFeet(cm2 float64) float64 { return cm2 / (30.48 * 30.48) }
