//! What pages are dressed with: style, scripts and signs, all in the program itself, each at an
//! address that changes with its content.

use std::sync::OnceLock;
use swatchfold_door::{Keep, Kind, Told};

/// One file: its name, what it is, and its text.
type Asset = (&'static str, Kind, &'static str);

const ASSETS: [Asset; 6] = [
    ("look.css", Kind::Css, include_str!("assets/look.css")),
    ("desk.js", Kind::Script, include_str!("assets/desk.js")),
    ("draw.js", Kind::Script, include_str!("assets/draw.js")),
    ("mark.svg", Kind::Svg, include_str!("assets/mark.svg")),
    ("pages.webmanifest", Kind::Manifest, include_str!("assets/pages.webmanifest")),
    ("openapi.json", Kind::Json, include_str!("assets/openapi.json")),
];

/// The text of the description of the JSON interface.
pub(super) const OPENAPI: &str = include_str!("assets/openapi.json");

/// A file by the name in its address: `look-0123456789abcdef.css`, or its plain name.
pub(super) fn asset(name: &str) -> Option<Told> {
    let of = |(_, kind, text): Asset, keep| Told::new(200, kind, text).kept(keep);
    if let Some(plain) = ASSETS.iter().find(|(known, _, _)| *known == name) {
        return Some(of(*plain, Keep::Ask(format!("{:016x}", hash(plain.2)))));
    }
    ASSETS.iter().find(|asset| address_of(asset).ends_with(&format!("/{name}"))).map(|asset| of(*asset, Keep::ForGood))
}

/// The address of a file.
pub(super) fn address(name: &str) -> &'static str {
    static ALL: OnceLock<Vec<(&'static str, String)>> = OnceLock::new();
    let all = ALL.get_or_init(|| ASSETS.iter().map(|asset| (asset.0, address_of(asset))).collect());
    all.iter().find(|(known, _)| *known == name).map_or("/look/look.css", |(_, address)| address)
}

fn address_of((name, _, text): &Asset) -> String {
    let (stem, ending) = name.rsplit_once('.').unwrap_or((name, ""));
    format!("/look/{stem}-{:016x}.{ending}", hash(text))
}

/// FNV-1a.
fn hash(text: &str) -> u64 {
    text.bytes().fold(0xcbf2_9ce4_8422_2325, |hash, byte| (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_file_is_had_at_its_address_for_good() {
        for (name, kind, text) in ASSETS {
            let own = asset(address(name).rsplit('/').next().unwrap()).unwrap();
            assert_eq!((own.kind, own.keep, own.bytes.as_slice()), (kind, Keep::ForGood, text.as_bytes()), "{name}");
            assert!(matches!(asset(name).unwrap().keep, Keep::Ask(_)));
        }
        assert!(asset("nothing.css").is_none());
    }

    /// The colours of one scheme, by their names in the style sheet.
    fn scheme(text: &str) -> std::collections::BTreeMap<&str, ::api::Colour> {
        let mut colours = std::collections::BTreeMap::new();
        for part in text.split("--").skip(1) {
            if let Some((name, value)) = part.split_once(':')
                && let Some(colour) = value.split(';').next().and_then(|value| ::api::from_hex(value.trim()))
            {
                colours.entry(name).or_insert(colour);
            }
        }
        colours
    }

    #[test]
    fn every_text_can_be_read_in_light_and_dark() {
        // WCAG 2.2 (W3C), success criteria 1.4.3 (text, 4.5) and 1.4.11 (edges of controls, 3).
        let style = include_str!("assets/look.css");
        let (light, rest) = style.split_once("prefers-color-scheme: dark").expect("two schemes");
        for colours in [scheme(light), scheme(rest)] {
            for (ink, paper, least) in [
                ("ink", "sheet", 4.5),
                ("ink", "ground", 4.5),
                ("ink", "desk", 4.5),
                ("quiet", "sheet", 4.5),
                ("quiet", "ground", 4.5),
                ("quiet", "desk", 4.5),
                ("accent", "sheet", 4.5),
                ("accent", "ground", 4.5),
                ("on-accent", "accent", 4.5),
                ("edge", "sheet", 3.0),
                ("edge", "ground", 3.0),
            ] {
                let contrast = ::api::contrast_ratio(colours[ink], colours[paper]);
                assert!(contrast >= least, "{ink} on {paper}: {contrast:.2}");
            }
        }
    }
}
