//! The codes of currencies that people pay with.

/// The currencies of ISO 4217 that were in use, by the list in Debian's package `iso-codes` 4.15.0 (27 April 2023); metals, funds,
/// units of account and test codes are left out. Those that have gone since stay, as an older course may be reckoned in them.
const CODES: [&str; 159] = [
    "AED", "AFN", "ALL", "AMD", "ANG", "AOA", "ARS", "AUD", "AWG", "AZN", "BAM", "BBD", "BDT", "BGN", "BHD",
    "BIF", "BMD", "BND", "BOB", "BRL", "BSD", "BTN", "BWP", "BYN", "BZD", "CAD", "CDF", "CHF", "CLP", "CNY",
    "COP", "CRC", "CUC", "CUP", "CVE", "CZK", "DJF", "DKK", "DOP", "DZD", "EGP", "ERN", "ETB", "EUR", "FJD",
    "FKP", "GBP", "GEL", "GHS", "GIP", "GMD", "GNF", "GTQ", "GYD", "HKD", "HNL", "HRK", "HTG", "HUF", "IDR",
    "ILS", "INR", "IQD", "IRR", "ISK", "JMD", "JOD", "JPY", "KES", "KGS", "KHR", "KMF", "KPW", "KRW", "KWD",
    "KYD", "KZT", "LAK", "LBP", "LKR", "LRD", "LSL", "LYD", "MAD", "MDL", "MGA", "MKD", "MMK", "MNT", "MOP",
    "MRU", "MUR", "MVR", "MWK", "MXN", "MYR", "MZN", "NAD", "NGN", "NIO", "NOK", "NPR", "NZD", "OMR", "PAB",
    "PEN", "PGK", "PHP", "PKR", "PLN", "PYG", "QAR", "RON", "RSD", "RUB", "RWF", "SAR", "SBD", "SCR", "SDG",
    "SEK", "SGD", "SHP", "SLE", "SLL", "SOS", "SRD", "SSP", "STN", "SVC", "SYP", "SZL", "THB", "TJS", "TMT",
    "TND", "TOP", "TRY", "TTD", "TWD", "TZS", "UAH", "UGX", "USD", "UYU", "UZS", "VED", "VES", "VND", "VUV",
    "WST", "XAF", "XCD", "XOF", "XPF", "YER", "ZAR", "ZMW", "ZWL",
];
/// What has come since that list: the Caribbean guilder and the Zimbabwe gold.
const SINCE: [&str; 2] = ["XCG", "ZWG"];

/// Whether a text is the code of a currency, in its three capital letters.
pub fn is_code(text: &str) -> bool {
    CODES.binary_search(&text).is_ok() || SINCE.contains(&text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_are_found_and_what_only_looks_like_one_is_not() {
        assert!(CODES.is_sorted());
        for code in ["AED", "CHF", "EUR", "GBP", "JPY", "USD", "ZWL", "XCG"] {
            assert!(is_code(code), "{code}");
        }
        for other in ["YEN", "EURO", "eur", "XXX", "XAU", "UKP", ""] {
            assert!(!is_code(other), "{other}");
        }
    }
}
