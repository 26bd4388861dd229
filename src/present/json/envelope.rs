//! `envelope --json`, and the same two lists within a suggestion: envelopes a card fits, and how it
//! would be posted.

use super::number::Millimetres;
use super::{FORMAT, written};
use crate::construct::{Class, Envelope};
use serde::Serialize;

#[derive(Serialize)]
struct Document<'a> {
    format: u32,
    envelopes: Vec<EnvelopeOf<'a>>,
    post: Vec<PostOf<'a>>,
}

/// One envelope.
#[derive(Serialize)]
pub(super) struct EnvelopeOf<'a> {
    name: &'a str,
    slack_width: Millimetres,
    slack_height: Millimetres,
    fit: &'static str,
}

/// One postal class.
#[derive(Serialize)]
pub(super) struct PostOf<'a> {
    profile: &'a str,
    class: &'a str,
    machinable: Option<bool>,
    why: &'a [String],
    as_of: &'a str,
}

/// `envelope --json`.
#[must_use]
pub fn envelope(envelopes: &[Envelope], post: &[Class]) -> String {
    written(&Document { format: FORMAT, envelopes: envelopes_of(envelopes), post: post_of(post) })
}

/// Each envelope.
pub(super) fn envelopes_of(envelopes: &[Envelope]) -> Vec<EnvelopeOf<'_>> {
    let mut list = Vec::with_capacity(envelopes.len());
    for Envelope { name, slack_width, slack_height, fit, .. } in envelopes {
        list.push(EnvelopeOf {
            name,
            slack_width: Millimetres(*slack_width),
            slack_height: Millimetres(*slack_height),
            fit: fit.word(),
        });
    }
    list
}

/// Each postal class.
pub(super) fn post_of(post: &[Class]) -> Vec<PostOf<'_>> {
    let mut list = Vec::with_capacity(post.len());
    for Class { profile, class, machinable, why, as_of } in post {
        list.push(PostOf { profile, class, machinable: *machinable, why, as_of });
    }
    list
}
