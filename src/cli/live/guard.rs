//! Who may ask, and how much: the program answers this machine's own browser and nobody else.

/// The largest body that is read, in bytes.
pub const LARGEST_BODY: usize = crate::course::limits::STATE_BYTES;
/// The longest path that is looked at.
const LONGEST_PATH: usize = 1024;

/// What is known of a request before anything is done for it.
#[derive(Clone, Copy, Debug)]
pub struct Asked<'r> {
    /// `GET`, `POST`, ...
    pub method: &'r str,
    /// Path and query.
    pub path: &'r str,
    /// The `Host` headers.
    pub hosts: &'r [&'r str],
    /// The `Origin` headers.
    pub origins: &'r [&'r str],
    /// The `Sec-Fetch-Site` header.
    pub site: Option<&'r str>,
    /// The `Content-Type` header.
    pub content: Option<&'r str>,
    /// The stated length of the body.
    pub length: Option<usize>,
    /// It comes in pieces without a stated length.
    pub chunked: bool,
}

/// Why a request is refused, with its status; `None`: it may be answered.
///
/// A page of somebody else's can make a browser ask for an address on this machine, under a name of its own (then `Host` is not
/// ours) or across origins (then `Origin` is not ours); neither gets an answer.
#[must_use]
pub fn refuse(asked: &Asked<'_>, port: u16) -> Option<(u16, &'static str)> {
    let ours = [format!("127.0.0.1:{port}"), format!("localhost:{port}")];
    let [host] = asked.hosts else { return Some((400, "a request names one host")) };
    if !ours.iter().any(|our| our == host) {
        return Some((403, "this is not the host that was asked for"));
    }
    let is_ours = |origin: &str| ours.iter().any(|our| origin == format!("http://{our}"));
    if asked.origins.iter().any(|origin| !is_ours(origin)) {
        return Some((403, "another page asked"));
    }
    if matches!(asked.site, Some("cross-site" | "same-site")) {
        return Some((403, "another page asked"));
    }
    if asked.path.len() > LONGEST_PATH {
        return Some((414, "the path is too long"));
    }
    match asked.method {
        "GET" => None,
        "POST" if asked.origins.is_empty() => Some((403, "a page of this program has to ask")),
        "POST"
            if asked
                .content
                .is_none_or(|c| c.split(';').next().unwrap_or("").trim() != "application/json") =>
        {
            Some((415, "JSON is read, and nothing else"))
        }
        "POST" if asked.chunked || asked.length.is_none() => Some((411, "the length has to be stated")),
        "POST" if asked.length.is_some_and(|n| n > LARGEST_BODY) => Some((413, "that is too large")),
        "POST" => None,
        _ => Some((405, "only GET and POST")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ASKED: Asked<'_> = Asked {
        method: "GET",
        path: "/",
        hosts: &["127.0.0.1:4000"],
        origins: &[],
        site: None,
        content: None,
        length: None,
        chunked: false,
    };
    const POSTED: Asked<'_> = Asked {
        method: "POST",
        origins: &["http://localhost:4000"],
        content: Some("application/json"),
        length: Some(10),
        ..ASKED
    };

    fn status(asked: Asked<'_>) -> Option<u16> {
        refuse(&asked, 4000).map(|(status, _)| status)
    }

    #[test]
    fn our_own_pages_are_answered() {
        assert_eq!(status(ASKED), None);
        assert_eq!(status(Asked { hosts: &["localhost:4000"], site: Some("same-origin"), ..ASKED }), None);
        assert_eq!(status(POSTED), None);
        assert_eq!(status(Asked { content: Some("application/json; charset=utf-8"), ..POSTED }), None);
    }

    #[test]
    fn other_hosts_and_pages_are_not() {
        for hosts in [
            &["bakery.example:4000"][..],
            &["127.0.0.1:4001"],
            &["127.0.0.1"],
            &[],
            &["127.0.0.1:4000", "bakery.example:4000"],
        ] {
            assert!(status(Asked { hosts, ..ASKED }).is_some(), "{hosts:?}");
        }
        for origin in [
            "http://bakery.example",
            "https://127.0.0.1:4000",
            "null",
            "http://127.0.0.1:4000.bakery.example",
        ] {
            assert_eq!(status(Asked { origins: &[origin], ..ASKED }), Some(403), "{origin}");
            assert_eq!(status(Asked { origins: &[origin], ..POSTED }), Some(403), "{origin}");
        }
        assert_eq!(status(Asked { origins: &[], ..POSTED }), Some(403));
        assert_eq!(status(Asked { site: Some("cross-site"), ..ASKED }), Some(403));
    }

    #[test]
    fn sizes_and_forms_are_limited() {
        assert_eq!(status(Asked { length: Some(LARGEST_BODY + 1), ..POSTED }), Some(413));
        assert_eq!(status(Asked { length: None, ..POSTED }), Some(411));
        assert_eq!(status(Asked { chunked: true, ..POSTED }), Some(411));
        assert_eq!(status(Asked { content: Some("text/plain"), ..POSTED }), Some(415));
        assert_eq!(status(Asked { method: "DELETE", ..ASKED }), Some(405));
        let long = "/".repeat(2000);
        assert_eq!(status(Asked { path: &long, ..ASKED }), Some(414));
    }
}
