// Package price holds money: an exact amount in the minor units of an ISO 4217
// currency, and the rounding rules a price book may choose.
//
// Start from Amount, Parse and Amount.Scale. The package must not know what is
// charged for (catalogue, quote). Floating point never touches an amount.
//
// Worked number: 25 minutes at 100.00 an hour is 100.00·25/60 = 41.666…, so
// 41.67 rounded half up and 41.66 rounded down.
package price
