//! What a script is handed: views in, cheap read-only values out.
//!
//! They are types of their own, with getters and no setters, so that handing one over copies a pointer
//! and a script can change nothing that another call would see.

use api::units::Length;
use api::{
    CardView, Colour, Directional, Finish, Material, PaperView, PatternKind, PieceView, Relation, Role, Share,
    colour_name, hex, lch,
};
use rhai::{Array, Dynamic, Engine, FLOAT, INT, Map};
use std::sync::Arc;

/// A colour as scripts see it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct ScriptColour(pub(crate) Colour);

/// A paper as scripts see it.
#[derive(Clone, Debug)]
pub(crate) struct ScriptPaper(Arc<Paper>);

#[derive(Debug)]
struct Paper {
    view: PaperView,
    /// Made once, cloned whenever a script asks.
    colours: Array,
    shares: Array,
}

impl ScriptPaper {
    pub(crate) fn new(view: &PaperView) -> Self {
        let colours = view.swatches.iter().map(|swatch| Dynamic::from(ScriptColour(swatch.colour))).collect();
        let shares = view.swatches.iter().map(|swatch| Dynamic::from_float(swatch.share.as_f64())).collect();
        Self(Arc::new(Paper { view: view.clone(), colours, shares }))
    }
}

/// A piece in its place as scripts see it.
#[derive(Clone, Debug)]
pub(crate) struct ScriptPiece(Arc<Piece>);

#[derive(Debug)]
struct Piece {
    paper: ScriptPaper,
    role: &'static str,
    width: FLOAT,
    height: FLOAT,
    stock_width: FLOAT,
    stock_height: FLOAT,
    stock_count: INT,
    is_scrap: bool,
    age_days: Option<u32>,
}

impl ScriptPiece {
    pub(crate) fn new(piece: &PieceView<'_>) -> Self {
        let mm = Length::millimetres_for_drawing;
        Self(Arc::new(Piece {
            paper: ScriptPaper::new(piece.paper),
            role: role(piece.role),
            width: mm(piece.width),
            height: mm(piece.height),
            stock_width: mm(piece.stock_width),
            stock_height: mm(piece.stock_height),
            stock_count: INT::from(piece.stock_count),
            is_scrap: piece.is_scrap,
            age_days: piece.age_days,
        }))
    }
}

/// A card as scripts see it: a map of `pieces`, bottom first, and `meetings`.
pub(crate) fn card(card: &CardView<'_>) -> Dynamic {
    let pieces: Array = card.pieces.iter().map(|piece| Dynamic::from(ScriptPiece::new(piece))).collect();
    let meetings: Array = card
        .relations
        .iter()
        .filter_map(|(relation, upper, lower)| {
            let mut meeting = Map::new();
            meeting.insert("how".into(), relation_key(*relation).into());
            meeting.insert("upper".into(), pieces.get(*upper)?.clone());
            meeting.insert("lower".into(), pieces.get(*lower)?.clone());
            Some(Dynamic::from_map(meeting))
        })
        .collect();
    let mut map = Map::new();
    map.insert("pieces".into(), Dynamic::from_array(pieces));
    map.insert("meetings".into(), Dynamic::from_array(meetings));
    Dynamic::from_map(map)
}

/// Teaches an engine the types and their properties.
pub(crate) fn register(engine: &mut Engine) {
    engine
        .register_type_with_name::<ScriptColour>("Colour")
        .register_get("l", |colour: &mut ScriptColour| colour.0.l)
        .register_get("a", |colour: &mut ScriptColour| colour.0.a)
        .register_get("b", |colour: &mut ScriptColour| colour.0.b)
        .register_get("chroma", |colour: &mut ScriptColour| lch(colour.0).chroma)
        .register_get("hue", |colour: &mut ScriptColour| lch(colour.0).hue.into_positive_degrees())
        .register_get("name", |colour: &mut ScriptColour| colour_name(colour.0))
        .register_get("hex", |colour: &mut ScriptColour| hex(colour.0));
    engine
        .register_type_with_name::<ScriptPaper>("Paper")
        .register_get("name", |paper: &mut ScriptPaper| paper.0.view.name.clone())
        .register_get("main", |paper: &mut ScriptPaper| ScriptColour(paper.0.view.main_colour()))
        .register_get("colours", |paper: &mut ScriptPaper| paper.0.colours.clone())
        .register_get("shares", |paper: &mut ScriptPaper| paper.0.shares.clone())
        .register_get("busyness", |paper: &mut ScriptPaper| Share::as_f64(paper.0.view.pattern.busyness))
        .register_get("kind", |paper: &mut ScriptPaper| kind(paper.0.view.pattern.kind))
        .register_get("repeat_mm", |paper: &mut ScriptPaper| {
            optional(paper.0.view.pattern.repeat.map(|repeat| Dynamic::from_float(repeat.millimetres_for_drawing())))
        })
        .register_get("directional", |paper: &mut ScriptPaper| directional(paper.0.view.pattern.directional))
        .register_get("material", |paper: &mut ScriptPaper| material(paper.0.view.material))
        .register_get("finish", |paper: &mut ScriptPaper| finish(paper.0.view.finish))
        .register_get("pad", |paper: &mut ScriptPaper| {
            optional(paper.0.view.pad.map(|pad| Dynamic::from_int(INT::from(pad))))
        });
    engine
        .register_type_with_name::<ScriptPiece>("Piece")
        .register_get("paper", |piece: &mut ScriptPiece| piece.0.paper.clone())
        .register_get("role", |piece: &mut ScriptPiece| piece.0.role)
        .register_get("width_mm", |piece: &mut ScriptPiece| piece.0.width)
        .register_get("height_mm", |piece: &mut ScriptPiece| piece.0.height)
        .register_get("stock_width_mm", |piece: &mut ScriptPiece| piece.0.stock_width)
        .register_get("stock_height_mm", |piece: &mut ScriptPiece| piece.0.stock_height)
        .register_get("stock_count", |piece: &mut ScriptPiece| piece.0.stock_count)
        .register_get("is_scrap", |piece: &mut ScriptPiece| piece.0.is_scrap)
        .register_get("age_days", |piece: &mut ScriptPiece| {
            optional(piece.0.age_days.map(|days| Dynamic::from_int(INT::from(days))))
        });
}

/// `()` where nothing is known.
fn optional(value: Option<Dynamic>) -> Dynamic {
    value.unwrap_or(Dynamic::UNIT)
}

fn kind(kind: PatternKind) -> &'static str {
    match kind {
        PatternKind::Solid => "solid",
        PatternKind::Tonal => "tonal",
        PatternKind::Stripe => "stripe",
        PatternKind::Dot => "dot",
        PatternKind::Check => "check",
        PatternKind::Scattered => "scattered",
        PatternKind::BigMotif => "big-motif",
        _ => "other",
    }
}

fn directional(directional: Directional) -> &'static str {
    match directional {
        Directional::No => "no",
        Directional::QuarterTurn => "quarter-turn",
        Directional::OneWay => "one-way",
    }
}

fn material(material: Material) -> &'static str {
    match material {
        Material::Patterned => "patterned",
        Material::Cardstock => "cardstock",
        Material::Vellum => "vellum",
        Material::Glitter => "glitter",
        Material::Kraft => "kraft",
        Material::Image => "image",
        _ => "other",
    }
}

fn finish(finish: Finish) -> &'static str {
    match finish {
        Finish::Smooth => "smooth",
        Finish::Textured => "textured",
        Finish::Pearl => "pearl",
        Finish::Metallic => "metallic",
        Finish::Glitter => "glitter",
        _ => "other",
    }
}

/// A role, as scripts are told it.
pub(crate) fn role(role: Role) -> &'static str {
    match role {
        Role::Base => "base",
        Role::Background => "background",
        Role::Band => "band",
        Role::Feature => "feature",
        Role::Focal => "focal",
        Role::Sentiment => "sentiment",
        Role::Mat => "mat",
        Role::Part => "part",
        _ => "other",
    }
}

fn relation_key(relation: Relation) -> &'static str {
    match relation {
        Relation::MatBehind => "mat-behind",
        Relation::Touching => "touching",
        Relation::SameCard => "same-card",
        _ => "other",
    }
}
