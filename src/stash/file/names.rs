//! Things of one section that name one another, the panels of a layout and the parts of an image:
//! their ids and the names they use in, whether every name is that of another one out.

use super::fields::{Fields, Otherwise};
use super::value::{id, list};
use crate::problem::{Fault, Named};
use std::collections::BTreeMap;
use std::ops::Range;

/// One of the things.
pub(super) struct Member {
    /// Its id; `None` where it cannot be read.
    pub(super) id: Option<String>,
    /// Where the id stands.
    pub(super) span: Range<usize>,
    /// The names it uses.
    pub(super) names: Vec<Naming>,
}

/// A name as used.
#[derive(Clone)]
pub(super) struct Naming {
    /// The key it stands behind.
    pub(super) key: &'static str,
    /// The name.
    pub(super) name: String,
    /// Where it stands.
    pub(super) span: Range<usize>,
}

/// The names behind a key, one or a list; `None` where they cannot be read, which has been told.
pub(super) fn named(fields: &Fields<'_, '_>, key: &'static str) -> Option<Vec<Naming>> {
    let Some(value) = fields.value(key) else { return Some(Vec::new()) };
    let names = fields.read(key, Otherwise::LeaveOut, list(id))?;
    let spans = value.items().into_iter().map(|item| item.span);
    Some(names.into_iter().zip(spans).map(|(name, span)| Naming { key, name, span }).collect())
}

/// The name behind a key that takes only one; the inner `None` where the key is not there.
pub(super) fn named_once(fields: &Fields<'_, '_>, key: &'static str) -> Option<Option<Naming>> {
    let Some(value) = fields.value(key) else { return Some(None) };
    let name = fields.read(key, Otherwise::LeaveOut, id)?;
    Some(Some(Naming { key, name, span: value.span }))
}

/// Whether no two members have one id and every name is that of another member; if not, each
/// that is wrong is told, for the section whose `fields` these are.
pub(super) fn are_sound(fields: &Fields<'_, '_>, members: &[Member], sort: Named) -> bool {
    let mut is_sound = true;
    let mut wrong = |span: &Range<usize>, fault| {
        is_sound = false;
        fields.report(span.clone(), fault, fields.left_out());
    };
    let mut first_of: BTreeMap<&str, &Member> = BTreeMap::new();
    for member in members {
        let Some(id) = &member.id else { continue };
        match first_of.get(id.as_str()) {
            Some(first) => {
                let first = Box::new(fields.document.source.place(first.span.clone()));
                wrong(&member.span, Fault::DuplicateId { id: id.clone(), first });
            }
            None => {
                first_of.insert(id, member);
            }
        }
    }
    // A member whose id cannot be read may be the one that is meant.
    let is_every_id_known = members.iter().all(|member| member.id.is_some());
    for member in members {
        for Naming { key, name, span } in &member.names {
            if member.id.as_ref() == Some(name) {
                wrong(span, Fault::RefersToItself { key: (*key).into(), id: name.clone() });
            } else if is_every_id_known && !first_of.contains_key(name.as_str()) {
                let nearest = fields.document.reader.nearest(name, first_of.keys().copied());
                wrong(span, Fault::UnknownName { named: sort, name: name.clone(), nearest });
            }
        }
    }
    is_sound
}

/// Members that name one another in a circle by these keys, in order; the first such circle.
pub(super) fn circle(members: &[Member], keys: &[&str]) -> Option<Vec<usize>> {
    let place = |name: &str| members.iter().position(|member| member.id.as_deref() == Some(name));
    let after: Vec<Vec<usize>> = members
        .iter()
        .map(|member| member.names.iter().filter(|naming| keys.contains(&naming.key)))
        .map(|namings| namings.filter_map(|naming| place(&naming.name)).collect())
        .collect();
    // The ways from each member that come back to it; members are few.
    (0..members.len()).find_map(|start| {
        let mut came_from = vec![None; members.len()];
        let mut open = vec![start];
        while let Some(at) = open.pop() {
            for &next in &after[at] {
                if next == start {
                    let mut way: Vec<usize> = std::iter::successors(Some(at), |&at| came_from[at]).collect();
                    way.reverse();
                    return Some(way);
                }
                if came_from[next].is_none() {
                    came_from[next] = Some(at);
                    open.push(next);
                }
            }
        }
        None
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn members(uses: &[&[&str]]) -> Vec<Member> {
        let naming = |name: &&str| Naming { key: "on", name: (*name).into(), span: 0..0 };
        let member = |(number, names): (usize, &&[&str])| Member {
            id: Some(number.to_string()),
            span: 0..0,
            names: names.iter().map(naming).collect(),
        };
        uses.iter().enumerate().map(member).collect()
    }

    #[test]
    fn a_circle_is_found_and_a_knot_without_one_is_not() {
        //  0 -> 1 -> 2 -> 1 : the circle is 1, 2
        assert_eq!(circle(&members(&[&["1"], &["2"], &["1"]]), &["on"]), Some(vec![1, 2]));
        //  0 -> 1 -> 3, 0 -> 2 -> 3 : no circle
        assert_eq!(circle(&members(&[&["1", "2"], &["3"], &["3"], &[]]), &["on"]), None);
        assert_eq!(circle(&members(&[&["1"], &["0"]]), &["other"]), None);
        assert_eq!(circle(&members(&[]), &["on"]), None);
    }
}
