//! A request as plain values: where it goes, what it asks, what it brings.

use percent_encoding::percent_decode_str;

/// What is to be done. `HEAD` counts as a look.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Method {
    /// To be shown something; changes nothing.
    Look,
    /// To change something.
    Change,
    /// To take something away.
    Remove,
}

/// A file that came with a form.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct File {
    /// The name of the form's field.
    pub field: String,
    /// What it holds. The name it had on the device is not kept.
    pub bytes: Vec<u8>,
}

/// What came with a request.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Body {
    /// Nothing.
    #[default]
    Nothing,
    /// The fields of a form, and its files.
    Form(Vec<(String, String)>, Vec<File>),
    /// JSON, not yet read.
    Json(Vec<u8>),
}

/// Whose session it is.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Guest {
    /// Its number among the sessions; never the cookie itself.
    pub number: u64,
    /// The token its pages must send with every change.
    pub token: String,
}

/// A request that was let through.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Asked {
    /// What is to be done.
    pub method: Method,
    /// The parts of the path, decoded: no part is empty, `.` or `..`, and none holds `/`, `\` or a control sign.
    pub path: Vec<String>,
    /// The query, decoded, in its order.
    pub query: Vec<(String, String)>,
    /// What came with it.
    pub body: Body,
    /// Whose session it is.
    pub guest: Guest,
    /// The revision it saw, where it says so in its header.
    pub revision: Option<String>,
    /// The version of the answer it has already.
    pub has: Option<String>,
}

impl Asked {
    /// The path as it is matched: its parts as texts.
    #[must_use]
    pub fn parts(&self) -> Vec<&str> {
        self.path.iter().map(String::as_str).collect()
    }

    /// The first value of a name in the query.
    #[must_use]
    pub fn query(&self, name: &str) -> Option<&str> {
        self.query.iter().find(|(key, _)| key == name).map(|(_, value)| value.as_str())
    }

    /// All values of a name in the query.
    pub fn queries<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a str> {
        self.query.iter().filter(move |(key, _)| key == name).map(|(_, value)| value.as_str())
    }

    /// The first value of a field of its form.
    #[must_use]
    pub fn field(&self, name: &str) -> Option<&str> {
        match &self.body {
            Body::Form(fields, _) => fields.iter().find(|(key, _)| key == name).map(|(_, value)| value.as_str()),
            Body::Nothing | Body::Json(_) => None,
        }
    }

    /// The file of a field of its form, where one was chosen.
    #[must_use]
    pub fn file(&self, name: &str) -> Option<&File> {
        match &self.body {
            Body::Form(_, files) => files.iter().find(|file| file.field == name && !file.bytes.is_empty()),
            Body::Nothing | Body::Json(_) => None,
        }
    }
}

/// The most parts a path may have.
const MOST_PARTS: usize = 12;
/// The most bytes a part may have.
const LONGEST_PART: usize = 400;

/// The parts of a path; `None` where no page of ours could have it.
pub(crate) fn parts(path: &str) -> Option<Vec<String>> {
    let mut parts = Vec::new();
    for part in path.split('/').filter(|part| !part.is_empty()) {
        let part = percent_decode_str(part).decode_utf8().ok()?;
        let is_plain =
            part != "." && part != ".." && !part.chars().any(|sign| sign.is_control() || "/\\".contains(sign));
        if !is_plain || part.is_empty() || part.len() > LONGEST_PART || parts.len() == MOST_PARTS {
            return None;
        }
        parts.push(part.into_owned());
    }
    Some(parts)
}

/// The most pairs that are read of a query or form.
pub(crate) const MOST_PAIRS: usize = 2_000;

/// The pairs of a query or of a form.
pub(crate) fn pairs(bytes: &[u8]) -> Vec<(String, String)> {
    form_urlencoded::parse(bytes).take(MOST_PAIRS).map(|(key, value)| (key.into_owned(), value.into_owned())).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_leads_nowhere_but_down() {
        assert_eq!(parts("/papers//sea%20wall/").unwrap(), ["papers", "sea wall"]);
        assert_eq!(parts("/").unwrap(), Vec::<String>::new());
        for bad in ["/..", "/a/../b", "/a/%2e%2E/b", "/a%2Fb", "/a%5cb", "/a%00", "/%ff", "/a/./b", "/a%0d%0ab"] {
            assert_eq!(parts(bad), None, "{bad}");
        }
        assert_eq!(parts(&format!("/{}", "a".repeat(401))), None);
        assert_eq!(parts(&"/a".repeat(13)), None);
    }
}
