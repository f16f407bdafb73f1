//! Vectors in the plane of the cloth and in space.

use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

/// What [`crate::roots::first_contact`] needs of a vector: arithmetic and a scalar product.
pub trait Vector: Copy + Add<Output = Self> + Sub<Output = Self> + Mul<f64, Output = Self> {
    /// Scalar product.
    fn dot(self, other: Self) -> f64;
}

/// A vector in the plane: metres, metres a second or any other unit that its owner states.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Vec2 {
    /// Component along the length of the table.
    pub x: f64,
    /// Component across the table.
    pub y: f64,
}

/// A vector in space; `z` points up.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Vec3 {
    /// Component along the length of the table.
    pub x: f64,
    /// Component across the table.
    pub y: f64,
    /// Component upwards.
    pub z: f64,
}

impl Vec2 {
    /// The zero vector.
    pub const ZERO: Self = Self { x: 0.0, y: 0.0 };

    /// A vector from its components.
    #[inline]
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// The unit vector at `angle_rad` counter-clockwise from +x.
    #[inline]
    pub fn from_angle(angle_rad: f64) -> Self {
        let (sin, cos) = crate::fx::sin_cos(angle_rad);
        Self::new(cos, sin)
    }

    /// The vector turned a quarter counter-clockwise.
    #[inline]
    #[must_use]
    pub fn turned_left(self) -> Self {
        Self::new(-self.y, self.x)
    }

    /// The third component of the vector product.
    #[inline]
    pub fn cross(self, other: Self) -> f64 {
        self.x * other.y - self.y * other.x
    }

    /// The same vector in space, with the given height.
    #[inline]
    pub fn with_z(self, z: f64) -> Vec3 {
        Vec3::new(self.x, self.y, z)
    }
}

impl Vec3 {
    /// The zero vector.
    pub const ZERO: Self = Self { x: 0.0, y: 0.0, z: 0.0 };

    /// A vector from its components.
    #[inline]
    pub const fn new(x: f64, y: f64, z: f64) -> Self {
        Self { x, y, z }
    }

    /// Vector product.
    #[inline]
    #[must_use]
    pub fn cross(self, o: Self) -> Self {
        Self::new(self.y * o.z - self.z * o.y, self.z * o.x - self.x * o.z, self.x * o.y - self.y * o.x)
    }

    /// The part in the plane of the cloth.
    #[inline]
    pub fn xy(self) -> Vec2 {
        Vec2::new(self.x, self.y)
    }
}

macro_rules! vector_arithmetic {
    ($t:ident, $($c:ident),+) => {
        impl Add for $t {
            type Output = Self;
            #[inline]
            fn add(self, o: Self) -> Self {
                Self { $($c: self.$c + o.$c),+ }
            }
        }
        impl Sub for $t {
            type Output = Self;
            #[inline]
            fn sub(self, o: Self) -> Self {
                Self { $($c: self.$c - o.$c),+ }
            }
        }
        impl Mul<f64> for $t {
            type Output = Self;
            #[inline]
            fn mul(self, k: f64) -> Self {
                Self { $($c: self.$c * k),+ }
            }
        }
        impl Div<f64> for $t {
            type Output = Self;
            #[inline]
            fn div(self, k: f64) -> Self {
                Self { $($c: self.$c / k),+ }
            }
        }
        impl Neg for $t {
            type Output = Self;
            #[inline]
            fn neg(self) -> Self {
                Self { $($c: -self.$c),+ }
            }
        }
        impl AddAssign for $t {
            #[inline]
            fn add_assign(&mut self, o: Self) {
                *self = *self + o;
            }
        }
        impl SubAssign for $t {
            #[inline]
            fn sub_assign(&mut self, o: Self) {
                *self = *self - o;
            }
        }
        impl Vector for $t {
            #[inline]
            fn dot(self, o: Self) -> f64 {
                let mut sum = 0.0;
                $(sum += self.$c * o.$c;)+
                sum
            }
        }
        impl $t {
            /// Scalar product.
            #[inline]
            pub fn dot(self, o: Self) -> f64 {
                Vector::dot(self, o)
            }

            /// Squared length.
            #[inline]
            pub fn norm_squared(self) -> f64 {
                self.dot(self)
            }

            /// Length.
            #[inline]
            pub fn norm(self) -> f64 {
                self.norm_squared().sqrt()
            }

            /// Whether every component is a finite number.
            #[inline]
            pub fn is_finite(self) -> bool {
                $(self.$c.is_finite())&&+
            }
        }
    };
}

vector_arithmetic!(Vec2, x, y);
vector_arithmetic!(Vec3, x, y, z);

#[cfg(test)]
mod tests {
    use super::{Vec2, Vec3};

    #[test]
    fn a_quarter_turn_left_takes_x_to_y() {
        assert_eq!(Vec2::new(1.0, 0.0).turned_left(), Vec2::new(0.0, 1.0));
    }

    #[test]
    fn the_axes_are_right_handed() {
        let (x, y) = (Vec3::new(1.0, 0.0, 0.0), Vec3::new(0.0, 1.0, 0.0));
        assert_eq!(x.cross(y), Vec3::new(0.0, 0.0, 1.0));
        assert_eq!(x.xy().cross(y.xy()), 1.0);
    }
}
