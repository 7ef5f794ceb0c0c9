//! A list that copies of a setup have in common until one of them changes it: of neighbours in a history nearly all is
//! the same, and what is one and the same list need not be compared.

use std::ops::{Deref, DerefMut};
use std::sync::Arc;

/// A list that is copied when it is changed.
#[derive(Clone, Debug)]
pub struct Shared<T>(Arc<Vec<T>>);

impl<T> Shared<T> {
    /// Whether both are one and the same list.
    pub fn is(&self, other: &Shared<T>) -> bool {
        Arc::ptr_eq(&self.0, &other.0)
    }
}

impl<T> Default for Shared<T> {
    fn default() -> Self {
        Shared(Arc::default())
    }
}

impl<T: PartialEq> PartialEq for Shared<T> {
    fn eq(&self, other: &Shared<T>) -> bool {
        self.is(other) || self.0 == other.0
    }
}

impl<T> Deref for Shared<T> {
    type Target = Vec<T>;

    fn deref(&self) -> &Vec<T> {
        &self.0
    }
}

impl<T: Clone> DerefMut for Shared<T> {
    fn deref_mut(&mut self) -> &mut Vec<T> {
        Arc::make_mut(&mut self.0)
    }
}

impl<T> FromIterator<T> for Shared<T> {
    fn from_iter<I: IntoIterator<Item = T>>(items: I) -> Self {
        Shared(Arc::new(items.into_iter().collect()))
    }
}

impl<'s, T> IntoIterator for &'s Shared<T> {
    type Item = &'s T;
    type IntoIter = std::slice::Iter<'s, T>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.iter()
    }
}
