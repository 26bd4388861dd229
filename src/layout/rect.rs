//! A rectangle on the card front, measured from its top left corner.

use api::units::{Area, Length, Size};

/// A rectangle on the card front: distances from the card's left and top edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Rect {
    /// From the card's left edge to its left side.
    pub left: Length,
    /// From the card's top edge to its top side.
    pub top: Length,
    /// From the card's left edge to its right side.
    pub right: Length,
    /// From the card's top edge to its bottom side.
    pub bottom: Length,
}

impl Rect {
    /// The whole of something `size` large.
    #[must_use]
    pub fn whole(size: Size) -> Self {
        Self { left: Length::ZERO, top: Length::ZERO, right: size.width, bottom: size.height }
    }

    /// Its width; negative where the sides have crossed.
    #[must_use]
    pub fn width(&self) -> Length {
        self.right - self.left
    }

    /// Its height; negative where the sides have crossed.
    #[must_use]
    pub fn height(&self) -> Length {
        self.bottom - self.top
    }

    /// Its width and height.
    #[must_use]
    pub fn size(&self) -> Size {
        Size { width: self.width(), height: self.height() }
    }

    /// Its area; nothing where the sides have crossed.
    #[must_use]
    pub fn area(&self) -> Area {
        if self.is_empty() { Area::ZERO } else { self.width() * self.height() }
    }

    /// Whether nothing is left of it.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        !self.width().is_positive() || !self.height().is_positive()
    }

    /// What is left after taking `edge` off each side.
    #[must_use]
    pub fn inset(&self, edge: Length) -> Self {
        Self { left: self.left + edge, top: self.top + edge, right: self.right - edge, bottom: self.bottom - edge }
    }

    /// What it shares with another.
    #[must_use]
    pub fn shared(&self, other: &Self) -> Self {
        Self {
            left: self.left.max(other.left),
            top: self.top.max(other.top),
            right: self.right.min(other.right),
            bottom: self.bottom.min(other.bottom),
        }
    }

    /// The smallest rectangle that holds both.
    #[must_use]
    pub fn around(&self, other: &Self) -> Self {
        Self {
            left: self.left.min(other.left),
            top: self.top.min(other.top),
            right: self.right.max(other.right),
            bottom: self.bottom.max(other.bottom),
        }
    }

    /// Whether the other lies wholly within it; sides may coincide.
    #[must_use]
    pub fn holds(&self, other: &Self) -> bool {
        self.left <= other.left && self.top <= other.top && self.right >= other.right && self.bottom >= other.bottom
    }

    /// A rectangle of `size` with the same middle, to the nanometre below where the middle is between two.
    #[must_use]
    pub fn centred(&self, size: Size) -> Self {
        let left = self.left + (self.width() - size.width).half();
        let top = self.top + (self.height() - size.height).half();
        Self { left, top, right: left + size.width, bottom: top + size.height }
    }

    /// The same rectangle moved the least way into another; `None` where it is larger.
    #[must_use]
    pub fn moved_into(&self, other: &Self) -> Option<Self> {
        if self.width() > other.width() || self.height() > other.height() {
            return None;
        }
        let right = (other.left - self.left).max(Length::ZERO) - (self.right - other.right).max(Length::ZERO);
        let down = (other.top - self.top).max(Length::ZERO) - (self.bottom - other.bottom).max(Length::ZERO);
        Some(Self {
            left: self.left + right,
            top: self.top + down,
            right: self.right + right,
            bottom: self.bottom + down,
        })
    }

    /// Where it comes to lie when a card `height` high is turned a quarter clockwise.
    #[must_use]
    pub fn turned_on(&self, height: Length) -> Self {
        Self { left: height - self.bottom, top: self.left, right: height - self.top, bottom: self.right }
    }

    /// Where it comes to lie when a card `width` wide is mirrored left to right.
    #[must_use]
    pub fn mirrored_on(&self, width: Length) -> Self {
        Self { left: width - self.right, right: width - self.left, ..*self }
    }
}
