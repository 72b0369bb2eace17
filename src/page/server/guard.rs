//! What is refused before anything is looked at: another site, another name for this machine.
//!
//! A page on the web can make a browser ask this machine, and a name on the web can be made to lead here.
//! A browser tells both: the host that it thinks it asks, and the site that the request comes from.

use std::fmt;

/// Who may ask.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Rules {
    hosts: Vec<String>,
}

/// What a phone may do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rights {
    /// Look, and tick off at the table.
    Look,
    /// Everything that may be done on this machine.
    Edit,
}

impl Rights {
    /// Whether something that may change something may be asked.
    pub(super) fn allow(self, path: &str) -> bool {
        self == Self::Edit || matches!(path, "/tick" | "/try" | "/reckon" | "/work/shown")
    }
}

/// What a request says of itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Asked<'a> {
    /// Whether it may change something.
    pub(super) changes: bool,
    pub(super) host: Option<&'a str>,
    pub(super) origin: Option<&'a str>,
    /// `Sec-Fetch-Site`.
    pub(super) site: Option<&'a str>,
    pub(super) content_type: Option<&'a str>,
}

/// Why a request is refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Refused {
    /// It was meant for another host.
    Host,
    /// It comes from another site.
    Site,
    /// It is no JSON, which another site cannot send unasked.
    Kind,
}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Host => "a request for another host was refused",
            Self::Site => "a request from another site was refused",
            Self::Kind => "a change that did not come from the page was refused",
        })
    }
}

impl Rules {
    /// This machine alone, on a port.
    pub(super) fn of(port: u16) -> Self {
        let names = ["127.0.0.1", "localhost"];
        Self {
            hosts: names.map(|name| format!("{name}:{port}")).to_vec(),
        }
    }

    /// This machine under one more name.
    pub(super) fn and(mut self, host: String) -> Self {
        self.hosts.push(host);
        self
    }

    /// Why a request is refused, if it is.
    pub(super) fn refusal(&self, asked: &Asked<'_>) -> Option<Refused> {
        let host = asked.host.unwrap_or_default();
        if !self.hosts.iter().any(|it| it.eq_ignore_ascii_case(host)) {
            return Some(Refused::Host);
        }
        // `none` is an address that somebody typed, or a bookmark.
        let is_own = |site: &str| site == "same-origin" || (site == "none" && !asked.changes);
        if asked.site.is_some_and(|site| !is_own(site)) {
            return Some(Refused::Site);
        }
        let own = format!("http://{host}");
        if asked
            .origin
            .is_some_and(|it| !it.eq_ignore_ascii_case(&own))
        {
            return Some(Refused::Site);
        }
        let is_json = asked.content_type == Some("application/json");
        (asked.changes && !is_json).then_some(Refused::Kind)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const HOME: Asked<'static> = Asked {
        changes: false,
        host: Some("127.0.0.1:4000"),
        origin: None,
        site: None,
        content_type: None,
    };
    const CHANGE: Asked<'static> = Asked {
        changes: true,
        origin: Some("http://127.0.0.1:4000"),
        site: Some("same-origin"),
        content_type: Some("application/json"),
        ..HOME
    };

    #[test]
    fn the_page_itself_may_ask_and_change() {
        let rules = Rules::of(4000);
        assert_eq!(rules.refusal(&HOME), None);
        assert_eq!(rules.refusal(&CHANGE), None);
        let typed = Asked {
            site: Some("none"),
            ..HOME
        };
        assert_eq!(rules.refusal(&typed), None);
        let named = Asked {
            host: Some("LocalHost:4000"),
            ..HOME
        };
        assert_eq!(rules.refusal(&named), None);
    }

    #[test]
    fn another_name_or_port_for_this_machine_is_refused() {
        for host in [
            None,
            Some("rebound.example:4000"),
            Some("127.0.0.1:80"),
            Some("127.0.0.1"),
        ] {
            assert_eq!(
                Rules::of(4000).refusal(&Asked { host, ..HOME }),
                Some(Refused::Host)
            );
        }
    }

    #[test]
    fn another_site_is_refused_whatever_it_asks() {
        let rules = Rules::of(4000);
        for site in ["cross-site", "same-site"] {
            for asked in [HOME, CHANGE] {
                let asked = Asked {
                    site: Some(site),
                    ..asked
                };
                assert_eq!(rules.refusal(&asked), Some(Refused::Site));
            }
        }
        let typed = Asked {
            site: Some("none"),
            ..CHANGE
        };
        assert_eq!(rules.refusal(&typed), Some(Refused::Site));
        for origin in [
            "http://example.org",
            "null",
            "http://127.0.0.1:4001",
            "https://127.0.0.1:4000",
        ] {
            let asked = Asked {
                origin: Some(origin),
                ..CHANGE
            };
            assert_eq!(rules.refusal(&asked), Some(Refused::Site), "{origin}");
        }
    }

    #[test]
    fn a_phone_looks_and_ticks_off_and_no_more_unless_it_may() {
        for path in [
            "/edit",
            "/do",
            "/undo",
            "/work/cut",
            "/work/lay-out",
            "/work/stop",
        ] {
            assert!(
                !Rights::Look.allow(path) && Rights::Edit.allow(path),
                "{path}"
            );
        }
        assert!(Rights::Look.allow("/tick") && Rights::Look.allow("/try"));
    }

    #[test]
    fn a_form_of_another_page_changes_nothing() {
        for kind in [
            None,
            Some("text/plain"),
            Some("application/x-www-form-urlencoded"),
        ] {
            let asked = Asked {
                content_type: kind,
                origin: None,
                site: None,
                ..CHANGE
            };
            assert_eq!(Rules::of(4000).refusal(&asked), Some(Refused::Kind));
        }
    }
}
